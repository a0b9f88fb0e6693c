/**
 * What was just written, with one tap to take it back.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { writtenAs } from "../doing/words.js";
import { h } from "../dom.js";
import { button } from "../parts.js";

/** @param {Context} context @returns {HTMLElement | null} */
export function justWritten(context) {
  const { record, session } = context;
  const { state } = record;
  const ids = session.last.filter((/** @type {string} */ id) => state.taken.has(id));
  if (ids.length === 0) return null;
  const undo = async () => {
    session.last = [];
    for (const id of [...ids].reverse()) await record.undo(id);
    context.refresh();
  };
  return h("div", { class: "written", role: "status" },
    h("span", {}, "Written: ", writtenAs(state, ids[ids.length - 1])),
    button("UNDO", undo, { "data-key": "undo", "data-tap": "undo" }));
}
