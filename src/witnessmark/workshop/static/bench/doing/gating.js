/**
 * Which gates stand before a step, and whether they were passed.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {import("./plan.js").Step} Step
 * @typedef {{id: string, name: string, object: string | null, lines: string[]}} Gate
 */

import { gatesBefore } from "../../ledger/gates.js";

/** Gates that look at one thing: the shaft turned, the circuit opened, the part that covers. */
const OF_AN_OBJECT = ["turning-by-hand", "opening-pressure", "covering"];

/** The gates printed before a step and those its action asks, each once, not yet passed.
 * @param {JobState} state @param {Step} step @returns {Gate[]} */
export function gatesOf(state, step) {
  /** @type {Map<string, string[]>} */
  const found = new Map();
  for (const { title, lines } of step.gates) {
    const id = idOf(state, title);
    if (id !== null) found.set(id, lines);
  }
  for (const id of gatesBefore(state, step.action ?? "", step.object)) {
    if (!found.has(id)) found.set(id, []);
  }
  return [...found]
    .map(([id, lines]) => ({ id, lines, name: nameOfGate(state, id), object: objectOf(step, id) }))
    .filter((gate) => !isPassed(state, gate.id, gate.object));
}

/** @param {JobState} state @param {string} title @returns {string | null} */
const idOf = (state, title) =>
  [...state.book.gates.values()].find((row) => row.name === title)?.id ?? null;

/** @param {JobState} state @param {string} id */
export const nameOfGate = (state, id) => state.book.gates.get(id)?.name ?? id;

/** @param {Step} step @param {string} id */
const objectOf = (step, id) => (OF_AN_OBJECT.includes(id) ? step.object : null);

/** Whether a gate was passed, for the same thing, with nothing in its scope touched since.
 * @param {JobState} state @param {string} id @param {string | null} object */
export function isPassed(state, id, object) {
  const last = state.rows.passes.findLast((row) => row.gate === id && row.object === object);
  if (last === undefined) return false;
  const { order } = state.history;
  return !order.slice(order.indexOf(last.event) + 1).some((each) => {
    const event = state.taken.get(each);
    return event !== undefined && ["done", "block"].includes(event.type)
      && last.scope.includes(event.object) && event.object !== object;
  });
}

/** The entry of a pass: what was answered, and the name's reason where something was open.
 * @param {string} id @param {string | null} purpose @param {string | null} object
 * @param {{[asked: string]: string}} answered @param {string} reason @param {string[]} seen
 * @returns {Row} */
export const passOf = (id, purpose, object, answered, reason, seen) => ({
  action: id, object,
  values: {
    answered, had_seen: seen,
    ...(purpose === null ? {} : { purpose }),
    ...(reason === "" ? {} : { reason }),
  },
});
