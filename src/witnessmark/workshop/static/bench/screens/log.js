/**
 * What was written, the latest first; a slip of the thumb is taken back by a further entry.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { canTakeBack, writtenAs } from "../doing/words.js";
import { fill, h } from "../dom.js";
import { button, clockTime } from "../parts.js";

const MOST = 200;

/** @param {HTMLElement} root @param {Context} context */
function log(root, context) {
  const { record } = context;
  const { state } = record;
  const ids = [...state.history.order].reverse().slice(0, MOST);
  const names = new Map(context.people.map((/** @type {any} */ each) => [each.id, each.name]));
  fill(root, h("h1", {}, "Log"),
    h("ol", { class: "open-list" }, ...ids.map((id) => {
      const event = state.event(id);
      const back = !state.taken.has(id) && event.type !== "correct";
      return h("li", { "data-event": id },
        h("p", {}, h("span", {}, h("b", {}, back ? h("s", {}, writtenAs(state, id)) : writtenAs(state, id)),
          h("small", {}, ` ${details(names.get(event.person) ?? event.person, event, back)}`))),
        back || !canTakeBack(event) ? null : button("Take back", () => record.undo(id),
          { "data-key": `back ${id}`, "data-tap": "take-back", "aria-label": `Take back: ${writtenAs(state, id)}` }));
    })));
}

/** @param {string} who @param {any} event @param {boolean} back */
const details = (who, event, back) =>
  [who, clockTime(event.wall), back ? "taken back" : "", event.note ?? ""].filter(Boolean).join(", ");

export const routes = [["/job/:job/log", log]];
