/**
 * Gate passes and handing back as they were recorded: what was open then is flagged.
 *
 * A gate refuses the pass, never the record. A pass with something open has a named person
 * and a reason, and prints both; cranking with a lock in has no such pass.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./state.js").JobState} JobState
 */

import { gate, scopeOf } from "./gates.js";
import { isGiven, isRow, listOf, valueOf } from "./said.js";

/** Take a gate pass; keep what was open, who passed it and why.
 * @param {JobState} state @param {string} id @param {Row} event */
export function gatePassed(state, id, event) {
  const { action: gateId, object, values, person } = event;
  const row = state.book.gates.get(gateId);
  if (row === undefined) {
    state.flag(id, "gate", object, `there is no gate '${gateId ?? "None"}'`);
    return;
  }
  const purpose = valueOf(values, "purpose");
  const reason = valueOf(values, "reason");
  const found = gate(state, gateId, purpose, object, event.wall);
  const open = found.open.map((/** @type {Row} */ each) => each.says);
  const unanswered = found.asks.filter(
    (/** @type {string} */ asked) => !isAnswered(valueOf(values, "answered"), asked),
  );
  if (open.length > 0 && !(isGiven(reason) && person && found.passable)) {
    const says = found.passable ? "passed without a reason: " : "cannot be passed: ";
    state.flag(id, "gate", object, `${row.name}: ${says}${open.join("; ")}`);
  }
  if (unanswered.length > 0) {
    state.flag(id, "gate asks", object, `${row.name}: not answered: ${unanswered.join("; ")}`);
  }
  state.add("passes", id, {
    gate: gateId, name: row.name, purpose, object, person, reason, open,
    clear: open.length === 0 && unanswered.length === 0,
    scope: scopeOf(state, gateId, object),
  });
}

/** Whether a question was answered: listed, or with its answer.
 * @param {unknown} answered @param {string} asked */
function isAnswered(answered, asked) {
  if (isRow(answered)) return isGiven(valueOf(answered, asked));
  return listOf(answered).includes(asked);
}

const TOUCHING = ["done", "block", "settle"];

/** Whether a pass was known, and nothing in its scope was touched since.
 * @param {JobState} state @param {Row} row @param {string} id */
function holdsFor(state, row, id) {
  const { history } = state;
  if (!history.reaches(row.event, id)) return false;
  return !history.order.some((each) => {
    if (each === id || each === row.event) return false;
    const event = state.event(each);
    return row.scope.includes(event.object) && TOUCHING.includes(event.type)
      && !history.reaches(each, row.event) && history.reaches(each, id);
  });
}

/** Take the handing back; flag it when its gate was not passed.
 * @param {JobState} state @param {string} id @param {Row} event */
export function closed(state, id, event) {
  const passes = state.rows.passes.filter((row) => row.gate === "handing-back");
  if (!passes.some((row) => holdsFor(state, row, id))) {
    state.flag(id, "gate", null, "before handing back: not passed for this");
  }
  state.add("closings", id, { what: "closed", person: event.person });
}
