/**
 * Events: what one device wrote down at one moment, and how its bytes are read and refused.
 *
 * An event is plain data with exactly the keys of `FIELDS`; its id is the digest of its
 * canonical bytes. Facts are never refused for what they say: only for a form that cannot be
 * read, or bytes that are not what their id promises.
 *
 * @typedef {import("./interpreter.js").Row} Row
 */

import { NotCanonicalError, byCodePoint, canonicalBytes, digest, readCanonical } from "./canonical.js";
import { NEEDS, VERSION } from "./event_types.js";

/** Bytes of one event at the most. */
export const LARGEST_EVENT = 64 * 1024;
/** Characters of a note at the most. */
export const LONGEST_NOTE = 4000;
const MOST_HEADS = 256;
const MOST_PHOTOS = 64;

/** Bytes that cannot be taken as an event: `where` names the field. */
export class EventRefusedError extends Error {
  /** @param {string} where @param {string} why */
  constructor(where, why) {
    super(`${where}: ${why}`);
    this.where = where;
    this.why = why;
  }
}

/** An event's canonical bytes. @param {Row} event @returns {Uint8Array} */
export function eventBytes(event) {
  checkEvent(event);
  const bytes = refusing(() => canonicalBytes(event));
  if (bytes.length > LARGEST_EVENT) {
    throw new EventRefusedError("event", `${bytes.length} bytes; ${LARGEST_EVENT} is the most`);
  }
  return bytes;
}

/** An event's id, the digest of its canonical bytes. @param {Row} event @returns {Promise<string>} */
export const eventId = async (event) => digest(eventBytes(event));

/** Read an event from bytes that came from elsewhere.
 * @param {Uint8Array} bytes @param {string | null} promised the id it came under
 * @returns {Promise<Row>} */
export async function readEvent(bytes, promised = null) {
  if (bytes.length > LARGEST_EVENT) {
    throw new EventRefusedError("event", `${bytes.length} bytes; ${LARGEST_EVENT} is the most`);
  }
  if (promised !== null && (await digest(bytes)) !== promised) {
    throw new EventRefusedError("id", "the bytes are not those this id was made from");
  }
  const event = refusing(() => readCanonical(bytes));
  checkEvent(event);
  return /** @type {Row} */ (event);
}

/** @template T @param {() => T} reading @returns {T} */
function refusing(reading) {
  try {
    return reading();
  } catch (error) {
    if (error instanceof NotCanonicalError) throw new EventRefusedError("event", error.message);
    throw error;
  }
}

/** Check the form of an event, not what it says. A newer version may have more fields; those
 * that place it among the others must be there.
 * @param {unknown} event @throws {EventRefusedError} naming the first field that is wrong */
export function checkEvent(event) {
  if (typeof event !== "object" || event === null || Array.isArray(event)) {
    throw new EventRefusedError("event", "not an object");
  }
  const row = /** @type {Row} */ (event);
  if (!Object.hasOwn(row, "v") || !isWhole(row.v) || row.v < 1) {
    throw new EventRefusedError("v", "the version is a whole number from 1");
  }
  const newer = row.v > VERSION;
  checkFields(row, newer);
  const extra = Object.keys(row).filter((key) => !FIELDS.has(key)).sort(byCodePoint);
  if (extra.length > 0 && !newer) {
    throw new EventRefusedError([...extra[0]].slice(0, 40).join(""), "an event has no such field");
  }
  if ((row.seq === 1) !== (row.prev === null)) {
    throw new EventRefusedError("prev", "the first of a device has none, all others have one");
  }
  const empty = newer ? undefined : NEEDS.get(row.type)?.find((field) => row[field] === null);
  if (empty !== undefined) throw new EventRefusedError(empty, `'${row.type}' needs it`);
}

/** @param {Row} row @param {boolean} newer */
function checkFields(row, newer) {
  for (const [field, [isRight, wanted]] of FIELDS) {
    const placing = PLACING.includes(field);
    if (!Object.hasOwn(row, field)) {
      if (newer && !placing) continue;
      throw new EventRefusedError(field, "missing");
    }
    if ((placing || !newer) && !isRight(row[field])) throw new EventRefusedError(field, wanted);
  }
}

/** @typedef {(value: any) => boolean} Right */

/** @type {Right} */
const isWhole = (value) => Number.isSafeInteger(value);
/** @type {Right} */
const isId = (value) => typeof value === "string" && /^[a-z0-9-]{1,64}$/.test(value);
/** @type {Right} */
const isDigest = (value) => typeof value === "string" && /^[0-9a-f]{64}$/.test(value);
/** @param {number} most @returns {Right} */
const isText = (most) => (value) =>
  typeof value === "string" && value !== "" && [...value].length <= most;
/** @param {Right} isRight @returns {Right} */
const orNull = (isRight) => (value) => value === null || isRight(value);
/** @type {Right} */
const isClock = (value) =>
  Array.isArray(value) && value.length === 2 && value.every((each) => isWhole(each) && each >= 0);
/** @param {number} most @returns {Right} */
const areDigests = (most) => (value) =>
  Array.isArray(value) && value.length <= most && value.every(isDigest);
/** @type {Right} */
const areHeads = (value) =>
  areDigests(MOST_HEADS)(value)
  && value.every((/** @type {string} */ each, /** @type {number} */ at) => !at || value[at - 1] < each);
/** @type {Right} */
const isObject = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

const ID_WORDS = "small letters, digits and hyphens, at most 64";

/** The fields that say where an event stands among others; every version has them. */
const PLACING = ["v", "type", "job", "device", "seq", "prev", "seen", "clock"];

/** @type {Map<string, [Right, string]>} every field, what it must be, and the words for it */
const FIELDS = new Map(
  Object.entries({
    v: [isWhole, "a whole number"],
    type: [isText(40), "a word"],
    job: [isId, ID_WORDS],
    device: [isId, ID_WORDS],
    seq: [(/** @type {any} */ value) => isWhole(value) && value >= 1, "a whole number from 1"],
    prev: [orNull(isDigest), "an event's id, or null"],
    seen: [areHeads, "ids of events, each once, in order"],
    person: [isId, ID_WORDS],
    clock: [isClock, "milliseconds and a counter, neither below zero"],
    wall: [isWhole, "whole milliseconds as the device read them"],
    action: [orNull(isText(64)), "an action's id, or null"],
    object: [orNull(isText(128)), "an object's id, or null"],
    values: [isObject, "an object"],
    photos: [areDigests(MOST_PHOTOS), "digests of photos"],
    note: [orNull(isText(LONGEST_NOTE)), `text of at most ${LONGEST_NOTE} characters, or null`],
    pack: [orNull(isDigest), "a pack's digest, or null"],
  }),
);
