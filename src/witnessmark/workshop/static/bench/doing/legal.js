/**
 * Everything that can be written down now, and everything that may be done now.
 *
 * A plan is advice: whoever did something else first writes that down and is asked nothing.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{action: string | null, object: string | null, says: string, planned: number | null,
 *   legal: boolean, because: string}} Choice
 */

import { nameOf } from "../../ledger/book.js";
import { act, actTo } from "../../ledger/interpreter.js";
import { moved, stateOf } from "../../ledger/standing.js";
import { steps } from "./plan.js";
import { capital } from "./words.js";

/** Every choice that breaks no rule as things stand; those of the plan first, in its order.
 * @param {JobState} state @returns {Choice[]} */
export function legalNow(state) {
  return everyChoice(state).filter((each) => each.legal).sort(byPlan);
}

/** Every choice, legal or not, in which each word typed occurs; the legal ones first.
 * @param {JobState} state @param {string} typed @returns {Choice[]} */
export function searched(state, typed) {
  const words = typed.toLowerCase().split(/\s+/).filter(Boolean);
  return everyChoice(state)
    .filter((each) => words.every((word) => each.says.toLowerCase().includes(word)))
    .sort((one, other) => Number(other.legal) - Number(one.legal) || byPlan(one, other));
}

/** @param {Choice} one @param {Choice} other */
const byPlan = (one, other) => (one.planned ?? Infinity) - (other.planned ?? Infinity) || 0;

/** @param {JobState} state @returns {Choice[]} */
function everyChoice(state) {
  const open = steps(state).filter((step) => !step.done);
  const planned = new Map(open.map((step) => [`${step.action} ${step.object}`, step]));
  const found = [
    ...open.filter((step) => step.kind === "block")
      .map((step) => blockChoice(state, step.object, step.number)),
    ...machineChoices(state),
  ];
  for (const [object, row] of state.book.objects) {
    const here = stateOf(state.book, state.standing, object);
    for (const action of state.book.rules.actions) {
      if (action.kind !== row.kind || !isToDo(state, action, object, here)) continue;
      found.push(choice(state, action, object, planned.get(`${action.id} ${object}`)));
    }
  }
  return found;
}

/** Acts of the machine as a whole: crank, start, lower. @param {JobState} state
 * @returns {Choice[]} */
const machineChoices = (state) =>
  state.book.rules.actions
    .filter((/** @type {Row} */ each) => each.kind === "machine")
    .map((/** @type {Row} */ each) => {
      const { broken } = act(state.book, state.standing, each.id, null, {});
      return {
        action: each.id, object: null, says: capital(each.says), planned: null,
        legal: broken.length === 0, because: broken.map((row) => row.says).join("; "),
      };
    });

/** Whether an action starts from where an object, or a piece of it, stands.
 * @param {JobState} state @param {Row} action @param {string} object @param {string} here */
function isToDo(state, action, object, here) {
  if (action.sources.includes(here)) return true;
  const pieces = [...(state.standing.pieces.get(object)?.values() ?? [])];
  return pieces.some((each) => action.sources.includes(each));
}

/** @param {JobState} state @param {Row} action @param {string} object
 * @param {import("./plan.js").Step | undefined} step @returns {Choice} */
function choice(state, action, object, step) {
  const pieces = standingAt(state, action, object);
  const { broken } = act(state.book, state.standing, action.id, object, pieces);
  const says = step ? step.card.line : capital(action.says.replace("{}", nameOf(state.book, object)));
  return {
    action: action.id, object, says, planned: step?.number ?? null,
    legal: broken.length === 0, because: broken.map((each) => each.says).join("; "),
  };
}

/** The pieces an action starts from, where not all stand alike.
 * @param {JobState} state @param {Row} action @param {string} object @returns {Row} */
function standingAt(state, action, object) {
  const known = state.standing.pieces.get(object);
  if (known === undefined) return {};
  const pieces = [...known].filter(([, here]) => action.sources.includes(here)).map(([id]) => id);
  return pieces.length > 0 && pieces.length < known.size ? { pieces } : {};
}

/** @param {JobState} state @param {string} object @param {number} planned @returns {Choice} */
function blockChoice(state, object, planned) {
  const broken = blockBroken(state, object);
  const says = state.pack.blocks?.[object]?.says ?? object;
  return {
    action: null, object, says, planned, legal: broken.length === 0,
    because: broken.map((each) => each.says).join("; "),
  };
}

/** What stands in the way of a work's own step, act by act.
 * @param {JobState} state @param {string} object
 * @returns {import("../../ledger/demands.js").Broken[]} */
export function blockBroken(state, object) {
  let { standing } = state;
  const broken = [];
  for (const each of state.pack.blocks?.[object]?.acts ?? []) {
    const outcome = actTo(state.book, standing, each);
    broken.push(...outcome.broken);
    standing = moved(state.book, standing, outcome.moves);
  }
  return broken;
}

/** What stands in the way of an act, by name.
 * @param {JobState} state @param {import("./acts.js").Act} todo
 * @returns {import("../../ledger/demands.js").Broken[]} */
export function inTheWay(state, todo) {
  if (todo.type === "block") return blockBroken(state, todo.object ?? "");
  let { standing } = state;
  const broken = [];
  for (const { action, values } of todo.writes) {
    const outcome = act(state.book, standing, action, todo.object, values);
    broken.push(...outcome.broken);
    standing = moved(state.book, standing, outcome.moves);
  }
  return broken;
}
