/**
 * A device's chain of events on a job: writing the next, and checking what is there.
 *
 * Each device's events are numbered without gaps and name the one before; an event's id is the
 * digest of its bytes. What cannot be told apart from tampering is called broken. A fork or a
 * gap is not: it is what lost phones and lost networks leave, kept and shown to a person.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./clock.js").Clock} Clock
 * @typedef {{event: string, says: string}} Fault
 * @typedef {{last: string | null, seq: number, clock: Clock, others: string[]}} End where a
 *   chain ends, the latest clock known, and the ends of other chains that were seen since
 */

import { digest } from "./canonical.js";
import { START, latestOf, tick } from "./clock.js";
import { VERSION } from "./event_types.js";
import { EventRefusedError, readEvent } from "./events.js";

/** What an event says where nothing else is said. */
const nothingSaid = () => (
  { action: null, object: null, values: {}, photos: [], note: null, pack: null }
);

/** Where a chain stands of which nothing was written and nothing seen. @returns {End} */
export const beginning = () => ({ last: null, seq: 0, clock: [...START], others: [] });

/** The end of a device's chain among the events it holds.
 * @param {Map<string, Row>} events of one job, by id
 * @param {string} device @returns {End} */
export function endOf(events, device) {
  const followed = new Set();
  const end = { ...beginning(), clock: latestOf([...events.values()].map((each) => each.clock)) };
  for (const [id, event] of events) {
    for (const named of [event.prev, ...event.seen]) followed.add(named);
    if (event.device === device && event.seq > end.seq) [end.last, end.seq] = [id, event.seq];
  }
  end.others = [...events.keys()].filter((id) => !followed.has(id) && id !== end.last).sort();
  return end;
}

/** The next event of a chain. It knows whatever the device that writes it knew.
 * @param {End} end @param {{job: string, device: string, person: string, wall: number}} by
 * @param {string} type @param {Row} fields what it says @returns {Row} */
export function nextEvent(end, { job, device, person, wall }, type, fields = {}) {
  return {
    ...nothingSaid(), ...fields,
    v: VERSION, type, job, device, person, wall,
    seq: end.seq + 1, prev: end.last, seen: [...end.others].sort(), clock: tick(end.clock, wall),
  };
}

/** Where a chain ends once an event was written to it. @param {Row} event @param {string} id
 * @returns {End} */
export const endAfter = (event, id) => (
  { last: id, seq: event.seq, clock: event.clock, others: [] }
);

/** Read stored events, and check each and how they hang together.
 * @param {Iterable<[string, Uint8Array]>} stored
 * @returns {Promise<{events: Map<string, Row>, faults: Fault[]}>} */
export async function readChains(stored) {
  const events = new Map();
  /** @type {Fault[]} */
  const faults = [];
  for (const [id, bytes] of stored) {
    if ((await digest(bytes)) !== id) {
      faults.push({ event: id, says: "its bytes are not those its id was made from" });
      continue;
    }
    try {
      events.set(id, await readEvent(bytes));
    } catch (error) {
      if (!(error instanceof EventRefusedError)) throw error;
      faults.push({ event: id, says: error.message });
    }
  }
  return { events, faults: [...faults, ...chainFaults(events)] };
}

/** Check that every event follows one of its own device and job, and its number too.
 * @param {Map<string, Row>} events @returns {Fault[]} */
export function chainFaults(events) {
  /** @type {Fault[]} */
  const faults = [];
  for (const [id, event] of events) {
    const before = events.get(event.prev ?? "");
    const named = [event.prev, ...event.seen].map((each) => events.get(each));
    if (before !== undefined && before.device !== event.device) {
      faults.push({ event: id, says: "follows an event of another device" });
    }
    if (before !== undefined && before.seq + 1 !== event.seq) {
      faults.push({ event: id, says: `number ${event.seq} follows ${before.seq}` });
    }
    if (named.some((each) => each !== undefined && each.job !== event.job)) {
      faults.push({ event: id, says: "names an event of another job" });
    }
  }
  return faults;
}
