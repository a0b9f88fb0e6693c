/**
 * Trouble: what kinds there are, what each adds to the job, and the entries it writes.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{id: string, says: string, adds: string[], found: boolean}} Kind
 */

import { nameOf } from "../../ledger/book.js";

/** The kinds in the order in which they are met. `found`: what is there is wrong, and refit goes
 * to right, not to as-found. @type {Kind[]} */
export const KINDS = [
  { id: "seized", says: "Seized", found: false,
    adds: ["work: soak, warm, ease to and fro; the step stays open", "ask before force: it may shear"] },
  { id: "sheared", says: "Sheared", found: true,
    adds: ["work: get the stump out, clean the thread", "parts: a new one on the kit", "a look at the thread before refit"] },
  { id: "rounded", says: "Rounded", found: true,
    adds: ["work: out by another grip", "parts: a new one on the kit"] },
  { id: "perished", says: "Perished", found: true,
    adds: ["parts: a new one on the kit", "work: what it let in is looked for"] },
  { id: "missing", says: "Missing", found: true,
    adds: ["parts: the right one on the kit", "a look for where it went"] },
  { id: "wrong part", says: "Wrong part", found: true,
    adds: ["parts: the right one on the kit", "a look at what the wrong one did"] },
  { id: "cannot get at it from here", says: "Cannot get at it from here", found: false,
    adds: ["work: another way in", "a new plan, where the workshop can be reached"] },
];

/** @param {string} id @returns {Kind | undefined} */
export const kindOfTrouble = (id) => KINDS.find((each) => each.id === id);

/** The entries that say trouble: what kind, of what, which pieces; and what was found wrong.
 * @param {string} kind @param {string | null} object @param {string[]} pieces
 * @param {{note: string | null, photos: string[]}} more
 * @returns {{type: string, fields: Row}[]} */
export function troubleEntries(kind, object, pieces, { note, photos }) {
  const values = pieces.length > 0 ? { kind, pieces } : { kind };
  const entries = [{ type: "trouble", fields: { action: kind, object, values, note, photos } }];
  if (object !== null && kindOfTrouble(kind)?.found) {
    const found = { what: kind, ...(pieces.length > 0 ? { pieces } : {}) };
    entries.push({ type: "found", fields: { action: null, object, values: found, note: null, photos: [] } });
  }
  return entries;
}

/** The kit's line for a thing, so that what it adds is said with number and price.
 * @param {JobState} state @param {string} object @returns {string | null} */
export function kitLine(state, object) {
  const name = nameOf(state.book, object);
  const groups = state.pack.texts?.job_card?.kit ?? [];
  for (const row of groups.flatMap((/** @type {Row} */ group) => group.rows)) {
    if (row.what === name || row.what.startsWith(`${name}:`)) return `${row.what}, ${row.number}`;
  }
  return null;
}

/** What a new plan must do without: the opening that could not be done the way it was planned.
 * @param {JobState} state @param {string} kind @param {string} object
 * @param {string | null} actionId @returns {[string, string | null][]} opening and way, as asked */
export function struckBy(state, kind, object, actionId) {
  const opening = state.book.actions.get(actionId ?? "")?.target ?? null;
  const isWay = kind === "cannot get at it from here" && opening !== null;
  return isWay && state.book.objects.has(object) ? [[`${object} ${opening}`, null]] : [];
}

/** Whether pieces of a joint are named one by one: after a stop or trouble on it, or where they
 * do not stand alike. @param {JobState} state @param {string | null} object */
export function pieceByPiece(state, object) {
  if (object === null || (state.book.objects.get(object)?.pieces.length ?? 0) < 2) return false;
  if (state.rows.troubles.some((row) => row.object === object)) return true;
  const states = new Set(state.standing.pieces.get(object)?.values() ?? []);
  if (states.size > 1) return true;
  return state.rows.stops.some((stop) => stopStands(state, stop, object));
}

/** Whether work on an object was broken off and it has not been worked on since.
 * @param {JobState} state @param {Row} stop @param {string} object */
function stopStands(state, stop, object) {
  const known = state.history.order.filter((id) => state.history.reaches(id, stop.event));
  const last = known.findLast((id) => ["done", "block"].includes(state.event(id).type));
  if (last === undefined || state.event(last).object !== object) return false;
  return state.writers(object).every((id) => id === last || state.history.reaches(id, stop.event));
}
