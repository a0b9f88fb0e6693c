/**
 * Duties: what must be done later or said at handing back, by whom and until when.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { fill, h } from "../dom.js";
import { bigButton, button, hexagon, labelled, section, words } from "../parts.js";

/** @param {HTMLElement} root @param {Context} context */
function duties(root, context) {
  const { record, session, person } = context;
  const rows = record.registers(context.now()).duties;
  const write = async (/** @type {any} */ values, /** @type {string | null} */ object = null) => {
    session.last = [(await record.write("duty", { object, values })).id];
    context.refresh();
  };
  const done = (/** @type {any} */ row) => {
    const known = record.pack.duties?.[row.duty];
    return write({
      duty: row.duty, limit: known?.limit || "done", person: person?.id ?? known?.person ?? "not said", done: true,
      may_leave: row.may_leave === true,
    }, row.object);
  };
  fill(root, h("h1", {}, "Duties"),
    rows.length === 0 ? h("p", {}, "None yet.") : h("ul", { class: "open-list" }, ...rows.map((/** @type {any} */ row) =>
      h("li", { "data-duty": row.duty }, h("p", {}, hexagon(row.done), h("span", {}, row.says)),
        h("div", { class: "ways" },
          row.may_leave ? null : h("b", {}, row.done ? "" : "The machine does not leave before. "),
          row.done ? h("b", {}, "Done or said") : button("Done, or said", () => done(row), { "data-tap": "duty" }))))),
    newDuty(write));
}

/** Take something over by a duty of one's own.
 * @param {(values: any) => Promise<void>} write */
function newDuty(write) {
  const [what, limit, who] = [words({}), words({}), words({})];
  const give = () => {
    if ([what, limit, who].some((each) => each.value.trim() === "")) return what.focus();
    return write({
      duty: what.value.trim(), limit: limit.value.trim(), person: who.value.trim(), may_leave: true, done: false,
    });
  };
  return section("One more", labelled("What", what), labelled("Until when, or how far", limit), labelled("By whom", who),
    bigButton("Write the duty", give));
}

export const routes = [["/job/:job/duties", duties]];
