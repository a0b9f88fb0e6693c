/** Lays a job into a phone's own tables, and reads back what was written there. */

import { canonicalBytes } from "/static/ledger/canonical.js";
import { beginning } from "/static/ledger/chains.js";
import { plainSha256 } from "/static/ledger/sha256.js";
import { openStore } from "/static/bench/store.js";

/** Lay a pack, a job on it and the people who work there. */
export async function lay({ pack, people, title, person = "ann", job = "job-1" }) {
  const bytes = canonicalBytes(pack);
  const id = plainSha256(bytes);
  await emptied();
  const store = await openStore();
  await store.change(["me", "jobs", "packs"], async (table) => {
    await table("me").put({ device: { id: "phone-1", name: "Phone" }, secret: "s" }, "pairing");
    await table("me").put({ member: people[0], people, edition: "test", blank: null }, "about");
    await table("me").put("paired", "standing");
    if (person) await table("me").put(person, "person");
    await table("packs").put({ id, text: new TextDecoder().decode(bytes) });
    await table("jobs").put({ id: job, title, pack: id, end: beginning() });
  });
  store.close();
  return id;
}

/** Leave nothing of the phone that was laid out here before. */
const emptied = () =>
  new Promise((resolve, reject) => {
    const request = indexedDB.deleteDatabase("witnessmark");
    request.onsuccess = resolve;
    request.onerror = reject;
  });

/** Everything written on the phone, in order. */
export async function written() {
  const store = await openStore();
  const rows = await store.read(["events"], (table) => table("events").all());
  store.close();
  return rows
    .map(({ id, text }) => ({ id, ...JSON.parse(text) }))
    .sort((one, other) => one.seq - other.seq);
}
