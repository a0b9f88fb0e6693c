/**
 * A reading against its limit, of anything.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 */

import { nameOf } from "../../ledger/book.js";
import { decimal } from "../doing/figures.js";
import { fill, h } from "../dom.js";
import { bigButton, labelled, link, notice, words } from "../parts.js";
import { address, go } from "../router.js";

/** @type {[string, string, {[name: string]: string}][]} */
const FIELDS = [
  ["what", "What was measured", { inputmode: "text" }],
  ["reading", "Reading", { inputmode: "decimal" }],
  ["unit", "Unit", { inputmode: "text", value: "mm" }],
  ["least", "At least (may be empty)", { inputmode: "decimal" }],
  ["most", "At most (may be empty)", { inputmode: "decimal" }],
];

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
function reading(root, context, { object = "", what = "" }) {
  const { record } = context;
  const fields = new Map(FIELDS.map(([name, , more]) => [name, words({ "data-field": name, ...more })]));
  if (what !== "") /** @type {HTMLInputElement} */ (fields.get("what")).value = what;
  const says = h("div", { role: "status" });
  const write = () => take(context, object || null, fields, says, null);
  fill(root, h("article", { class: "card" },
    h("p", { class: "place" }, "A reading"),
    h("h1", {}, object ? nameOf(record.state.book, object) : "Measured"),
    ...FIELDS.map(([name, label]) => labelled(label, /** @type {HTMLElement} */ (fields.get(name)))),
    says),
  h("div", { class: "actions two" }, bigButton("WRITE IT", write, { "data-tap": "measure" }),
    link("Back", address(["job", record.job]), { class: "big" })));
}

/** Write a reading down; without a limit the person says whether it is as it should be.
 * @param {Context} context @param {string | null} object
 * @param {Map<string, HTMLInputElement>} fields @param {HTMLElement} says
 * @param {boolean | null} within */
async function take(context, object, fields, says, within) {
  const typed = (/** @type {string} */ name) => (fields.get(name)?.value ?? "").trim();
  const [read, least, most] = ["reading", "least", "most"].map((name) => decimal(typed(name)));
  if (read === null || typed("what") === "") {
    says.replaceChildren(notice("caution", "Say what was measured, and the figure like 5.5"));
    return;
  }
  if (least === null && most === null && within === null) {
    const judged = (/** @type {boolean} */ is) => take(context, object, fields, says, is);
    says.replaceChildren(notice("plain", "No limit is given: is it as it should be?"),
      bigButton("As it should be", () => judged(true)),
      bigButton("Not as it should be", () => judged(false)));
    return;
  }
  const given = Object.entries({ at_least: least, at_most: most, within });
  const values = {
    what: typed("what"), reading: read, unit: typed("unit"),
    ...Object.fromEntries(given.filter(([, value]) => value !== null)),
  };
  context.session.last = [(await context.record.write("measured", { object, values })).id];
  go(address(["job", context.record.job]));
}

export const routes = [["/job/:job/reading", reading]];
