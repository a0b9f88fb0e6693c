"""The workshop: where events, packs, photos, people and devices are kept, and the API to them."""
