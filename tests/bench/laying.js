/** Lays a job into a phone's own tables, and reads back what was written there. */

import { canonicalBytes } from "/static/ledger/canonical.js";
import { beginning, endAfter, endOf, nextEvent } from "/static/ledger/chains.js";
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

/** Let entries of another phone come in: each a type and what it says. They know of what is
 * here up to `upTo` entries, and of nothing after. */
export async function comeIn(rows, { job = "job-1", device = "phone-2", person = "ben", upTo = null } = {}) {
  const store = await openStore();
  const held = await store.read(["events"], (table) => table("events").all());
  const here = held.map(({ id, text }) => [id, JSON.parse(text)]).sort(([, a], [, b]) => a.seq - b.seq);
  let end = { ...endOf(new Map(here.slice(0, upTo ?? here.length)), device) };
  const made = [];
  for (const { type, v, ...fields } of rows) {
    const by = { job, device, person, wall: 1_800_000_000_000 + made.length };
    const event = { ...nextEvent(end, by, type, fields), ...(v ? { v } : {}) };
    const id = plainSha256(canonicalBytes(event));
    end = { ...endAfter(event, id), others: [] };
    made.push({ id, job, text: new TextDecoder().decode(canonicalBytes(event)) });
  }
  await store.change(["events"], (table) => Promise.all(made.map((row) => table("events").add(row))));
  store.tell("arrived", { job, ids: made.map(({ id }) => id) });
  store.close();
  return made.map(({ id }) => id);
}
