/**
 * The plan's steps with the words of the card, and which of them are done.
 *
 * A step is done when what it brings stands, whoever brought it and by whatever action: one
 * who undid bolts in two goes has done the step that undoes them.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{number: number, kind: string, action: string | null, object: any, card: Row,
 *   gates: Row[], done: boolean}} Step `object` is null for an act of the machine as a whole
 */

import { depthOf, kindOf } from "../../ledger/book.js";
import { deepest } from "../../ledger/standing.js";

/** The cards of a pack, each with the gates printed before it, in the order of the plan.
 * @param {Row} pack @returns {{card: Row, gates: Row[]}[]} */
export function cards(pack) {
  const phases = pack.texts?.job_card?.phases ?? [];
  /** @type {{card: Row, gates: Row[]}[]} */
  const found = [];
  /** @type {Row[]} */
  let gates = [];
  for (const { title, rows } of phases) {
    for (const row of rows) {
      if (row.kind === "gate") gates.push(row);
      else {
        found.push({ card: { ...row, phase: title }, gates });
        gates = [];
      }
    }
  }
  return found;
}

/** The steps of the plan as they stand. @param {JobState} state @returns {Step[]} */
export function steps(state) {
  const texts = cards(state.pack);
  const plan = state.pack.plan?.steps ?? [];
  const history = depths(state);
  const blocks = new Set(state.rows.blocks.map((row) => row.object));
  return plan.map((/** @type {Row} */ row, /** @type {number} */ at) => ({
    number: at + 1,
    kind: row.kind,
    action: row.action,
    object: row.object,
    card: texts[at]?.card ?? bare(row),
    gates: texts[at]?.gates ?? [],
    done: row.kind === "block" ? blocks.has(row.object) : isDone(state, row, history),
  }));
}

/** A card of a step for which the pack has no words of its own. @param {Row} row @returns {Row} */
const bare = (row) => ({
  line: row.says, pieces: "", text: row.text ?? "", caution: row.caution ?? "", tightness: null,
  drive: [], measurement: "", marks: [], why: "", position: row.position ?? "", tool: "",
  aids: "", minutes: "",
});

/** @typedef {{all: Map<string, number>, any: Map<string, number>, done: Set<string>}} Past */

/** How deep each object has ever stood, all of it and any piece of it; and what was done to it.
 * @param {JobState} state @returns {Past} */
function depths(state) {
  const { book } = state;
  const [all, any] = [new Map(), new Map()];
  for (const [object, cells] of state.past) {
    const row = book.objects.get(object);
    if (row === undefined) continue;
    const reached = [...cells.values()].map((entries) =>
      Math.max(...entries.map((entry) => depthOf(book, row.kind, entry.state))));
    any.set(object, Math.max(...reached));
    all.set(object, cells.size < row.pieces.length ? 0 : Math.min(...reached));
  }
  const done = new Set();
  for (const event of state.taken.values()) {
    if (event.type === "done") done.add(`${event.action} ${event.object}`);
  }
  return { all, any, done };
}

/** @param {JobState} state @param {Row} row @param {Past} past */
function isDone(state, { kind, action, object }, past) {
  const { book } = state;
  if (!book.objects.has(object)) return past.done.has(`${action} ${object}`);
  const target = book.actions.get(action)?.target;
  const wanted = depthOf(book, kindOf(book, object), target);
  if (kind === "strip") return (past.all.get(object) ?? 0) >= wanted;
  const opened = (past.any.get(object) ?? 0) > wanted || past.done.has(`${action} ${object}`);
  return opened && deepest(book, state.standing, object) <= wanted && isThere(state, object, target);
}

/** Whether an object stands where a closing step leaves it, or nearer to rest. Of states of
 * equal depth only the step's own will do: not known is not run in.
 * @param {JobState} state @param {string} object @param {string} target */
function isThere(state, object, target) {
  const kind = kindOf(state.book, object);
  const here = state.state(object);
  if (depthOf(state.book, kind, here) < depthOf(state.book, kind, target)) return true;
  return here === target || isFurther(state, here, target);
}

/** Whether one state of a joint comes after another on the way to rest.
 * @param {JobState} state @param {string} here @param {string} target */
function isFurther(state, here, target) {
  const along = ["slack", "finger-tight", "nipped", "part-tightened"];
  return along.includes(target) && along.indexOf(here) > along.indexOf(target);
}

/** The first step that is not done. @param {JobState} state @returns {Step | null} */
export const nextStep = (state) => steps(state).find((step) => !step.done) ?? null;

/** The step still to come that closes an object; else any that concerns it.
 * @param {JobState} state @param {string} object @returns {Step | null} */
export function stepFor(state, object) {
  const open = steps(state).filter((step) => !step.done && step.object === object);
  return open.find((step) => step.kind === "refit") ?? open[0] ?? null;
}
