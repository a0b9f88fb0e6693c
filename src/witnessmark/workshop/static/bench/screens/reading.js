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

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
function reading(root, context, { object = "", what = "" }) {
  const { record, session } = context;
  const about = object || null;
  const field = (/** @type {string} */ name, more = {}) => words({ "data-field": name, inputmode: "decimal", ...more });
  const fields = {
    what: field("what", { inputmode: "text", value: what }), reading: field("reading"),
    unit: field("unit", { inputmode: "text", value: "mm" }), least: field("least"), most: field("most"),
  };
  const says = h("div", { role: "status" });
  const write = async (/** @type {boolean | null} */ within) => {
    const read = decimal(fields.reading.value);
    const [least, most] = [decimal(fields.least.value), decimal(fields.most.value)];
    if (read === null || fields.what.value.trim() === "") {
      says.replaceChildren(notice("caution", "Say what was measured, and the figure like 5.5"));
      return undefined;
    }
    if (least === null && most === null && within === null) {
      says.replaceChildren(notice("plain", "No limit is given: is it as it should be?"),
        bigButton("As it should be", () => write(true)), bigButton("Not as it should be", () => write(false)));
      return undefined;
    }
    const values = {
      what: fields.what.value.trim(), reading: read, unit: fields.unit.value.trim(),
      ...(least === null ? {} : { at_least: least }), ...(most === null ? {} : { at_most: most }),
      ...(within === null ? {} : { within }),
    };
    session.last = [(await record.write("measured", { object: about, values })).id];
    return go(address(["job", record.job]));
  };
  fill(root, h("article", { class: "card" },
    h("p", { class: "place" }, "A reading"), h("h1", {}, about ? nameOf(record.state.book, about) : "Measured"),
    labelled("What was measured", fields.what), labelled("Reading", fields.reading), labelled("Unit", fields.unit),
    labelled("At least (may be empty)", fields.least), labelled("At most (may be empty)", fields.most), says),
  h("div", { class: "actions two" }, bigButton("WRITE IT", () => write(null), { "data-tap": "measure" }),
    link("Back", address(["job", record.job]), { class: "big" })));
}

export const routes = [["/job/:job/reading", reading]];
