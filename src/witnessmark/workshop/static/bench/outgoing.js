/**
 * Sending what waits: each thing leaves the outbox when, and only when, it was acknowledged.
 *
 * A refusal is no success: what was refused goes to a list of its own with the reason, stays
 * on the phone, is counted and shown. What could not be asked at all goes on waiting.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./link.js").Link} Link
 * @typedef {{[key: string]: any}} Row
 * @typedef {{number: number, turn: number, kind: string, job: string, id: string}} Waiting
 */

import { AnsweredNoError, UnreachedError } from "./link.js";
import { TURNS } from "./store.js";

/** Events of one request at the most. */
const MOST_EVENTS = 100;
/** What a phone that was revoked may still send: what it wrote, and the photos of it. */
const REVOKED_MAY = ["event", "photo"];

/** Send all that waits, the first first; give the epoch it was taken in, if anything was.
 * @param {Store} store @param {Link} link
 * @param {{revoked: boolean, sure: boolean}} standing whether the workshop revoked this phone,
 *   and whether it was asked just now: only then is "no such thing" said of what was sent
 * @returns {Promise<string | null>}
 * @throws {UnreachedError | AnsweredNoError} if the workshop cannot be asked, or not by this phone */
export async function sendWaiting(store, link, { revoked, sure }) {
  let epoch = null;
  for (;;) {
    const rows = await nextWaiting(store, revoked);
    if (rows.length === 0) return epoch;
    if (rows[0].kind === "event") epoch = (await sendEvents(store, link, rows)) ?? epoch;
    else await sendOne(store, link, rows[0], sure);
  }
}

/** What is to be sent next: one thing, or events together.
 * @param {Store} store @param {boolean} revoked @returns {Promise<Waiting[]>} */
const nextWaiting = (store, revoked) =>
  store.read(["outbox"], async (table) => {
    for (const [turn, kind] of TURNS.entries()) {
      if (revoked && !REVOKED_MAY.includes(kind)) continue;
      const rows = await table("outbox").ofTurn(turn, kind === "event" ? MOST_EVENTS : 1);
      if (rows.length > 0) return rows;
    }
    return [];
  });

/** @param {Store} store @param {Link} link @param {Waiting[]} rows
 * @returns {Promise<string | null>} */
async function sendEvents(store, link, rows) {
  const held = await store.read(["events"], (table) =>
    Promise.all(rows.map(({ id }) => table("events").get(id))));
  const events = held.map(({ id, text }) => ({ id, event: text }));
  let answer;
  try {
    answer = await link.post("/api/events", { events });
  } catch (error) {
    if (!(error instanceof AnsweredNoError) || error.isForWho) throw error;
    // All are turned away for one that cannot be read: find it by sending each for itself.
    if (rows.length > 1) return sendEach(store, link, rows);
    await settle(store, [[rows[0], error.message]]);
    return null;
  }
  const settled = settledBy(answer, rows);
  if (settled.length === 0) throw new UnreachedError("the workshop answered for none of them");
  await settle(store, settled);
  return answer.epoch;
}

/** What each event was answered: null where it was taken, else why not. One that was not
 * answered is not among them. @param {Row} answer @param {Waiting[]} rows
 * @returns {[Waiting, string | null][]} */
function settledBy(answer, rows) {
  const said = new Map((answer.answers ?? []).map((/** @type {Row} */ each) => [each.id, each]));
  /** @type {[Waiting, string | null][]} */
  const settled = [];
  for (const row of rows) {
    const { answer: word, says } = said.get(row.id) ?? {};
    if (word === "new" || word === "again") settled.push([row, null]);
    else if (word === "refused") settled.push([row, says ?? "refused"]);
  }
  return settled;
}

/** @param {Store} store @param {Link} link @param {Waiting[]} rows
 * @returns {Promise<string | null>} */
async function sendEach(store, link, rows) {
  let epoch = null;
  for (const row of rows) epoch = (await sendEvents(store, link, [row])) ?? epoch;
  return epoch;
}

/** @param {Store} store @param {Link} link @param {Waiting} row @param {boolean} sure */
async function sendOne(store, link, row, sure) {
  try {
    await SENDING[row.kind](store, link, row);
  } catch (error) {
    if (!(error instanceof AnsweredNoError) || (error.isForWho && !sure)) throw error;
    await settle(store, [[row, error.message]]);
    return;
  }
  await settle(store, [[row, null]]);
}

/** @type {{[kind: string]: (store: Store, link: Link, row: Waiting) => Promise<void>}} */
const SENDING = {
  async job(store, link, { job }) {
    const { title } = await store.read(["jobs"], (table) => table("jobs").get(job));
    try {
      await link.post("/api/jobs", { id: job, title });
    } catch (error) {
      // The id was drawn at random: whoever opened it meant this job, perhaps by another name.
      if (!(error instanceof AnsweredNoError) || error.status !== 409) throw error;
    }
  },
  async pack(store, link, { job, id }) {
    const { text } = await store.read(["packs"], (table) => table("packs").get(id));
    await link.put(`/api/jobs/${job}/packs/${id}`, text);
  },
  async private(store, link, { job, id }) {
    const { kind, salt, says } = await store.read(["private"], (table) => table("private").get(id));
    await link.post(`/api/jobs/${job}/private`, { commitment: id, kind, salt, says });
  },
  async photo(store, link, { job, id }) {
    const { bytes } = await store.read(["photos"], (table) => table("photos").get([job, id]));
    await link.put(`/api/jobs/${job}/photos/${id}`, bytes);
  },
};

/** Take from the outbox what was acknowledged (null), and what was refused with its reason.
 * @param {Store} store @param {[Waiting, string | null][]} settled */
async function settle(store, settled) {
  await store.change(["outbox", "refused"], async (table) => {
    await Promise.all(settled.map(([row]) => table("outbox").delete(row.number)));
    for (const [{ kind, turn, job, id }, says] of settled) {
      if (says !== null) await table("refused").add({ kind, turn, job, id, says, at: Date.now() });
    }
  });
  store.tell("sent", { jobs: [...new Set(settled.map(([row]) => row.job))] });
}

/** Let wait again what was refused: somebody put the cause right. @param {Store} store */
export async function sendRefusedAgain(store) {
  await store.change(["outbox", "refused"], async (table) => {
    for (const { number, kind, turn, job, id } of await table("refused").all()) {
      await table("outbox").add({ kind, turn, job, id });
      await table("refused").delete(number);
    }
  });
  store.tell("sent", {});
}

/** Let everything wait again that the phone holds: the workshop came back from an older copy.
 * @param {Store} store @param {string} epoch the workshop's new one */
export async function sendAllAgain(store, epoch) {
  await store.change(["me", "jobs", "packs", "events", "photos", "private", "outbox"], async (table) => {
    const waiting = new Set((await table("outbox").all()).map(keyOf));
    /** @param {string} kind @param {string} job @param {string} id */
    const again = (kind, job, id) => {
      const row = { turn: TURNS.indexOf(kind), kind, job, id };
      return waiting.has(keyOf(row)) ? null : table("outbox").add(row);
    };
    const packs = new Set(await table("packs").keys());
    for (const { id, pack } of await table("jobs").all()) {
      await again("job", id, id);
      if (packs.has(pack)) await again("pack", id, pack);
    }
    for (const { id, job, pack } of inTime(await table("events").all())) {
      if (packs.has(pack)) await again("pack", job, pack);
      await again("event", job, id);
    }
    for (const { commitment, job } of await table("private").all()) await again("private", job, commitment);
    for (const [job, id] of await table("photos").keys()) await again("photo", job, id);
    await table("me").put(epoch, "epoch");
  });
  store.tell("sent", {});
}

/** Events in the order of their clocks, causes first. @param {Row[]} rows */
function inTime(rows) {
  const read = rows.map(({ id, job, text }) => ({ id, job, ...placeOf(JSON.parse(text)) }));
  return read.sort((one, other) => one.clock[0] - other.clock[0] || one.clock[1] - other.clock[1]);
}

/** @param {Row} event */
const placeOf = ({ clock, pack }) => ({ clock, pack });

/** @param {{kind: string, job: string, id: string}} row */
const keyOf = ({ kind, job, id }) => `${kind} ${job} ${id}`;
