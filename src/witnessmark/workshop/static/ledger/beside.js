/**
 * What an action says beside its move: settings, litres, figures, crushed gaskets.
 *
 * @typedef {import("./book.js").Row} Row
 * @typedef {import("./state.js").JobState} JobState
 */

import { nameOf } from "./book.js";
import { isRow, valueOf } from "./said.js";

/** Keep what an action says for the registers: settings, litres, figures, crushed gaskets.
 * @param {JobState} state @param {string} id @param {Row} event @param {Row} action @param {Row} row */
export function saidBeside(state, id, event, action, row) {
  const { values, object } = event;
  const says = (/** @type {string} */ word) => Object.hasOwn(values, word);
  for (const [word, how] of [["setting as found", "found at"], ["setting", "set to"]]) {
    if (says(word)) state.add("settings", id, { object, how, setting: values[word] });
  }
  if (action.id === "pull-again") state.add("pulls", id, { object, says: "not below" });
  for (const way of ["litres out", "litres in"]) {
    if (says(way)) state.add("litres", id, { object, way, litres: values[way] });
  }
  if (action.target === "unknown") {
    for (const part of row.crushes) state.add("to_renew", id, { object: part, because: object });
  }
  if (row.kind === "joint" && action.target === "made" && row.tightness === null) {
    figure(state, id, event, row);
  }
}

/** Keep how a joint without a maker's figure was tightened, and what papers print of it.
 * @param {JobState} state @param {string} id @param {Row} event @param {Row} row */
function figure(state, id, event, row) {
  const { object, values } = event;
  const told = valueOf(values, "figure");
  const source = state.figures.get(object)?.source ?? null;
  let prints = "no maker's figure";
  if (isRow(told) && told.from === "size table") {
    prints = "size table, not the maker's";
    const allowed = state.book.rules.roles.size_table.includes(row.role) && !row.critical;
    if (!allowed || !event.person) {
      const name = nameOf(state.book, object);
      const says = `${name}: a size table serves a bracket or a cover only`;
      state.flag(id, "size table", object, says);
    }
  }
  state.figures.set(object, {
    event: id,
    how: valueOf(values, "how"),
    figure: isRow(told) ? told : null,
    source,
    prints: source ?? prints,
  });
}
