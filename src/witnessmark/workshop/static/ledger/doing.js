/**
 * Work done: actions of the rule book, and the steps of a work's own, as they were written.
 *
 * @typedef {import("./book.js").Row} Row
 * @typedef {import("./standing.js").Move} Move
 * @typedef {import("./state.js").JobState} JobState
 */

import { saidBeside } from "./beside.js";
import { restOf } from "./book.js";
import { lacking } from "./evidence.js";
import { act, actTo } from "./interpreter.js";
import { workedOn } from "./interruption.js";
import { putDown } from "./putting_down.js";
import { valueOf } from "./said.js";
import { LOST, moved, pieceState } from "./standing.js";

/** Take one action of the rule book as done.
 * @param {JobState} state @param {string} id @param {Row} event */
export function done(state, id, event) {
  workedOn(state, id, event);
  const { book } = state;
  const { object } = event;
  const outcome = act(book, state.standing, event.action ?? "", object, event.values);
  const beside = object !== null && hasBeside(state, id, object);
  for (const broken of outcome.broken) {
    if (broken.rule === "state" && beside) continue;
    state.flag(id, broken.rule, broken.object, broken.says);
  }
  const action = book.actions.get(event.action);
  if (action === undefined) return;
  const row = object === null ? undefined : book.objects.get(object);
  if (row === undefined && object !== null) strange(state, id, object, action);
  if (row === undefined && action.kind !== "machine") return;
  if (row === undefined || row.kind !== action.kind) return;
  putDown(state, id, event, outcome.moves, lacking(book, action, row, event));
  saidBeside(state, id, event, action, row);
}

/** Whether somebody wrote on an object without either knowing of the other.
 * @param {JobState} state @param {string} id @param {string} object */
const hasBeside = (state, id, object) =>
  state.writers(object).some((each) => !state.history.reaches(each, id));

/** Keep the state of an object that is in no pack: of an older one, or a slip of the hand.
 * @param {JobState} state @param {string} id @param {string} object @param {Row} action */
function strange(state, id, object, action) {
  if (action.kind === "machine") return;
  const { kind, target } = action;
  const at_rest = target === restOf(state.book, kind);
  state.strange.set(object, { event: id, kind, state: target, at_rest });
}

/** Take a work's own step as done: its acts one after the other, left as it found things.
 * @param {JobState} state @param {string} id @param {Row} event */
export function block(state, id, event) {
  workedOn(state, id, event);
  const { object, values } = event;
  const row = object === null ? null : valueOf(state.pack.blocks, object);
  state.add("blocks", id, { object });
  if (row === null) {
    state.flag(id, "block", object, "no work has such a step");
    return;
  }
  let { standing } = state;
  /** @type {Move[]} */
  const moves = [];
  for (const each of row.acts) {
    const outcome = actTo(state.book, standing, each);
    for (const broken of outcome.broken) state.flag(id, broken.rule, broken.object, broken.says);
    moves.push(...outcome.moves);
    standing = moved(state.book, standing, outcome.moves);
  }
  putDown(state, id, event, lasting(state, moves));
  if (row.measure === null) return;
  const reading = valueOf(values, "reading");
  const within = valueOf(values, "within");
  state.add("measured", id, { object, what: row.measure.what, reading, within });
}

/** What a step leaves otherwise than it found it, and every proof it undid.
 * @param {JobState} state @param {Move[]} moves @returns {Move[]} */
function lasting(state, moves) {
  /** @type {Map<string, Move>} */
  const last = new Map();
  for (const move of moves) last.set(JSON.stringify([move[0], move[1]]), move);
  return [...last.values()].filter(
    ([object, piece, target]) => target === LOST || target !== standsAt(state, object, piece),
  );
}

/** @param {JobState} state @param {string} object @param {string | null} piece */
function standsAt(state, object, piece) {
  if (piece === null) return state.state(object);
  return pieceState(state.book, state.standing, object, piece);
}
