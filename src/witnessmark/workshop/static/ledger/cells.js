/**
 * What was last said of each object and piece, by whom, and what of it does not agree.
 *
 * A cell holds the events that no later event knew of and overruled: usually one. Where two
 * people, neither knowing of the other, left it in different states, the cell is in conflict
 * and reads as the least finished. Which events stand in a cell depends on who knew of what.
 *
 * @typedef {import("./interpreter.js").Book} Book
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./interpreter.js").Standing} Standing
 * @typedef {{event: string, state: string, stage: number, lacks: [string, string][],
 *   person: string}} Entry
 */

import { byCodePoint } from "./canonical.js";
import { depthOf, kindOf } from "./interpreter.js";

/** The key of an object's own cell, where it has no pieces. */
export const WHOLE = "";

/** A cell after an event: what the event did not know of stands beside it.
 * @template {{event: string}} E
 * @param {E[]} cell @param {E} entry @param {(earlier: string, later: string) => boolean} reaches
 * @returns {E[]} */
export function write(cell, entry, reaches) {
  const beside = cell.filter(
    (each) => each.event !== entry.event && !reaches(each.event, entry.event),
  );
  return [...beside, entry];
}

/** Whether the entries of a cell leave the object differently. @param {Entry[]} cell */
export function inConflict(cell) {
  return cell.some((each) => each.state !== cell[0].state || each.stage !== cell[0].stage);
}

/** The entry a cell is read by: the deepest; of equals the less certain or less done.
 * @param {Book} book @param {string} object @param {Entry[]} cell @returns {Entry} */
export function leastFinished(book, object, cell) {
  return cell.reduce((least, each) => (isBefore(book, object, each, least) ? each : least));
}

/** @param {Book} book @param {string} object @param {Entry} one @param {Entry} other */
function isBefore(book, object, one, other) {
  const [left, right] = [rank(book, object, one), rank(book, object, other)];
  const at = left.findIndex((value, index) => value !== right[index]);
  return at < 0 ? byCodePoint(one.event, other.event) < 0 : left[at] < right[at];
}

/** @param {Book} book @param {string} object @param {Entry} entry @returns {number[]} */
function rank(book, object, entry) {
  const kind = kindOf(book, object);
  return [
    -depthOf(book, kind, entry.state),
    entry.state === "unknown" ? 0 : 1,
    book.states.get(kind)?.get(entry.state)?.opening ? 0 : 1,
    entry.stage,
  ];
}

/** Set the standing the interpreter reads to what a cell says.
 * @param {Standing} standing @param {string} object @param {string} piece @param {string} state */
export function readInto(standing, object, piece, state) {
  if (piece === WHOLE) standing.at.set(object, state);
  else standing.pieces.set(object, new Map(standing.pieces.get(object) ?? []).set(piece, state));
}

/** The entry an event leaves in a cell.
 * @param {string} id @param {Row} event @param {string} state @param {[string, string][]} lacks
 * @returns {Entry} */
export function entryOf(id, event, state, lacks) {
  return { event: id, state, stage: stageOf(event.values.stage), lacks, person: event.person };
}

/** The number of a tightening stage; 0 where it has none (`final`). @param {unknown} stage */
function stageOf(stage) {
  if (typeof stage === "number") return stage;
  return typeof stage === "string" && /^[0-9]{1,3}$/.test(stage) ? Number(stage) : 0;
}
