/**
 * What the record says of the things that were noted, in the order they came off.
 *
 * @typedef {import("../../ledger/interpreter.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{id: string, event: string, order: number, number: number, kind: string, name: string, named: boolean,
 *   values: Row, photos: string[], person: string, when: number, state: string, says: string,
 *   atRest: boolean, of: number, on: number, holds: string[], heldBy: string[]}} Thing
 *   `of` pieces there are, `on` those at rest; `number` counts what was taken off at one stroke
 */

import { kindOf, pieceIds, pieceState, restOf, stateOf } from "../../ledger/interpreter.js";

/** Every thing noted, the first off first. @param {JobState} state @returns {Thing[]} */
export function thingsOf(state) {
  const seen = new Set();
  /** @type {Thing[]} */
  const found = [];
  for (const id of state.history.order) {
    const event = state.taken.get(id);
    if (event?.type !== "noted" || event.object === null || seen.has(event.object)) continue;
    if (typeof event.values.kind !== "string" || !state.book.objects.has(event.object)) continue;
    seen.add(event.object);
    found.push(thingOf(state, id, event, found.length));
  }
  number(found);
  for (const { id, holds } of found) {
    for (const held of found) if (holds.includes(held.id)) held.heldBy.push(id);
  }
  return found;
}

/** @param {JobState} state @param {string} id @param {Row} event @param {number} order @returns {Thing} */
function thingOf(state, id, event, order) {
  const { object, values } = event;
  const row = /** @type {Row} */ (state.book.objects.get(object));
  const here = stateOf(state.book, state.standing, object);
  const pieces = pieceIds(state.book, object);
  const rest = restOf(state.book, row.kind);
  const on = pieces.filter((piece) => pieceState(state.book, state.standing, object, piece) === rest);
  return {
    id: object, event: id, order, number: 0, kind: row.kind, name: row.name,
    named: typeof values.line === "string", values, photos: photosOf(state, id, object),
    person: event.person, when: event.wall, state: here,
    says: state.book.states.get(kindOf(state.book, object))?.get(here)?.says ?? here,
    atRest: state.atRest(object), of: Math.max(1, pieces.length),
    on: pieces.length > 0 ? on.length : Number(here === rest),
    holds: row.kind === "joint" ? row.holds : [], heldBy: [],
  };
}

/** Number things by photos: fasteners named beside a part are of its number, and on its photo.
 * @param {Thing[]} things */
function number(things) {
  let last = 0;
  for (const thing of things) {
    const part = things.find((each) => each.id === thing.values.beside);
    thing.number = part?.number || (last += 1);
    if (part !== undefined && thing.photos.length === 0) thing.photos = part.photos;
  }
}

/** Things by themselves: not those named in one line with a part. @param {Thing[]} things */
export const strokes = (things) => things.filter(({ values }) => values.beside === undefined);

/** @param {JobState} state @param {string} id @param {string} object @returns {string[]} */
function photosOf(state, id, object) {
  const later = state.history.order
    .map((each) => state.taken.get(each))
    .filter((event) => event?.type === "photo" && event.object === object)
    .flatMap((event) => event?.photos ?? []);
  return [...new Set([...(state.taken.get(id)?.photos ?? []), ...later])];
}

/** Things as they go back: last off first on, a part before the joint that holds it.
 * @param {Thing[]} things @returns {Thing[]} */
export function refitOrder(things) {
  /** @type {Map<string, number>} */
  const at = new Map(things.map(({ id, order }) => [id, order]));
  for (const { id, holds } of things) {
    const held = holds.map((each) => at.get(each)).filter((each) => each !== undefined);
    const first = Math.min(at.get(id) ?? 0, ...held.map((each) => Number(each) - 0.5));
    at.set(id, first);
  }
  return [...things].sort((one, other) => (at.get(other.id) ?? 0) - (at.get(one.id) ?? 0));
}

/** What must be on before a joint is closed: the parts it holds that are still off.
 * @param {Thing[]} things @param {Thing} joint @returns {Thing[]} */
export const heldStillOff = (things, joint) =>
  things.filter((each) => joint.holds.includes(each.id) && !each.atRest);

/** How many pieces and parts came off, and how many are back.
 * @param {Thing[]} things @returns {{off: number, on: number}} */
export function counts(things) {
  const counted = things.filter(({ kind }) => kind === "part" || kind === "joint");
  return {
    off: counted.reduce((sum, each) => sum + each.of, 0),
    on: counted.reduce((sum, each) => sum + each.on, 0),
  };
}

/** What to write on the bags and trays: each place with what lies there.
 * @param {Thing[]} things @returns {{place: string, says: string[]}[]} */
export function labels(things) {
  /** @type {Map<string, string[]>} */
  const found = new Map();
  for (const thing of things) {
    const place = thing.values["where it lies"];
    if (typeof place !== "string" || place === "" || thing.atRest) continue;
    found.set(place, [...(found.get(place) ?? []), wordsOf(thing)]);
  }
  return [...found].map(([place, says]) => ({ place, says }));
}

/** A thing in a line: its name, and how many of which. @param {Thing} thing */
export function wordsOf({ name, kind, values, of }) {
  if (kind !== "joint") return name;
  const sizes = Array.isArray(values.sizes) ? values.sizes.join(" and ") : "";
  if (sizes !== "") return `${name}: ${sizes}`;
  return typeof values.count === "number" ? `${name}: ${of}` : name;
}
