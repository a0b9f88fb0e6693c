/**
 * Events of older versions, read as this edition reads its own.
 *
 * An event is kept as it was written, for its id is the digest of those bytes. Where a later
 * version says something another way, a step per version turns the old words into the new, in
 * memory only. Version 1 is the first: there is no step yet. What is newer than this edition is
 * left alone; the job is then read-only.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {(event: Row) => Row} Step
 */

import { VERSION } from "./event_types.js";

/** By version, how an event of it reads in the next version. @type {Map<number, Step>} */
export const STEPS = new Map();

/** Its place among others and its job are never changed by a step. */
const KEPT = ["job", "device", "seq", "prev", "seen", "clock", "wall", "person"];

/** An event as this edition reads it; the event handed in stays as it is.
 * @param {Row} event @param {Map<number, Step>} steps @param {number} version @returns {Row}
 * @throws {RangeError} if a version has no step to the next: such an edition must not be shipped */
export function upcast(event, steps = STEPS, version = VERSION) {
  const kept = Object.fromEntries(KEPT.map((field) => [field, event[field]]));
  let read = { ...event };
  while (read.v < version) {
    const step = steps.get(read.v);
    if (step === undefined) {
      throw new RangeError(`events of version ${read.v} cannot be read by this edition`);
    }
    read = { ...step({ ...read }), ...kept, v: read.v + 1 };
  }
  return read;
}

/** A job's events, by id, as this edition reads them: every reader's one way in. Those handed in
 * stay as they are.
 * @param {Map<string, Row>} events @param {Step} read @returns {Map<string, Row>} */
export function readNow(events, read = upcast) {
  if ([...events.values()].every((event) => event.v >= VERSION)) return events;
  return new Map([...events].map(([id, event]) => [id, event.v < VERSION ? read(event) : event]));
}
