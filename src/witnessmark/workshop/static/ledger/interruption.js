/**
 * Stopping and coming back: the last three steps are looked at again and stated.
 *
 * Paint marks decide for bolts turned by an angle; without them the angle is not known, and
 * then that of the whole pattern is not. A further pull shows nothing of it.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./interpreter.js").Move} Move
 * @typedef {import("./state.js").JobState} JobState
 */

import { pieceIds } from "./interpreter.js";
import { isRow, listOf } from "./said.js";
import { isStep } from "./state.js";

/** How many steps are looked at again. */
const LAST = 3;
const AS_RECORDED = "as recorded";
const MARKS = "paint marks";

/** Note a stop, and which steps must be looked at again.
 * @param {JobState} state @param {string} id @param {Row} event */
export function stopped(state, id, event) {
  const again = lastSteps(state, id);
  state.add("stops", id, { device: event.device, again, returned: null });
}

/** The last steps that whoever stops knew of, the latest first.
 * @param {JobState} state @param {string} id @returns {string[]} */
function lastSteps(state, id) {
  const { history } = state;
  return history.order
    .filter((each) => isStep(state.event(each)) && history.reaches(each, id))
    .reverse()
    .slice(0, LAST);
}

/** Flag a step done after a stop without coming back first.
 * @param {JobState} state @param {string} id @param {Row} event */
export function workedOn(state, id, event) {
  const last = state.rows.stops.findLast(
    (row) => row.device === event.device && row.returned === null,
  );
  if (last === undefined || !state.history.reaches(last.event, id)) return;
  const says = "work went on after a stop without looking at the last steps again";
  state.flag(id, "not looked at", event.object, says);
}

/** Take a return: which steps stand as recorded; gives the moves of what is not known any more.
 * @param {JobState} state @param {string} id @param {Row} event @returns {Move[]} */
export function returned(state, id, event) {
  /** @type {Map<string, Row>} */
  const stated = new Map();
  for (const row of listOf(event.values.looked)) {
    if (isRow(row) && typeof row.event === "string") stated.set(row.event, row);
  }
  for (const stop of state.rows.stops) {
    if (stop.returned !== null || !state.history.reaches(stop.event, id)) continue;
    stop.returned = id;
    stop.again = stop.again.filter((/** @type {string} */ each) => !stated.has(each));
  }
  /** @type {Move[]} */
  const moves = [];
  for (const [step, row] of stated) {
    if (state.history.events.has(step) && !stands(state, step, row)) {
      moves.push(...notKnown(state, id, step));
    }
  }
  return moves;
}

/** Whether a step stands as recorded; of an angle only the paint marks can tell.
 * @param {JobState} state @param {string} step @param {Row} row */
function stands(state, step, row) {
  if (row.stands !== AS_RECORDED) return false;
  const { object, action: actionId } = state.event(step);
  const action = state.book.actions.get(actionId);
  const tightened = action !== undefined && ["made", "part-tightened"].includes(action.target);
  const angled = tightened && state.book.objects.get(object)?.angled;
  return !angled || row.by === MARKS;
}

/** The moves to "not known" of what a step had done, whole patterns where angled.
 * @param {JobState} state @param {string} id @param {string} step @returns {Move[]} */
function notKnown(state, id, step) {
  const { object } = state.event(step);
  const row = state.book.objects.get(object);
  if (row === undefined || row.kind !== "joint") {
    state.add("doubts", id, { step, object });
    return [];
  }
  const every = pieceIds(state.book, object);
  const pieces = row.angled ? every : every.filter((piece) => isOfStep(state, object, piece, step));
  if (pieces.length > 0) {
    for (const part of row.crushes) state.add("to_renew", id, { object: part, because: object });
  }
  return pieces.map((piece) => [object, piece, "unknown"]);
}

/** Whether what stands of a piece is what a step left, nothing later.
 * @param {JobState} state @param {string} object @param {string} piece @param {string} step */
const isOfStep = (state, object, piece, step) =>
  state.cell(object, piece).some((entry) => entry.event === step);
