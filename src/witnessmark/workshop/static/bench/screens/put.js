/**
 * Tools, rags, supports and workshop bolts put in and out again; things dropped and found.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { fill, h } from "../dom.js";
import { bigButton, button, choiceList, labelled, section, words } from "../parts.js";

const KINDS = ["tool", "rag", "support", "workshop bolt", "cap"];
const DROPPED = ["fastener", "part", "tool"];

/** @param {HTMLElement} root @param {Context} context */
function putThings(root, context) {
  const { record } = context;
  const there = [...record.state.put].filter(([, row]) => row.in > row.out || row.dropped > row.found);
  const write = async (/** @type {string} */ what, /** @type {string} */ kind, /** @type {string} */ how) => {
    context.session.last = [(await record.write("put", { values: { what, kind, how } })).id];
    context.refresh();
  };
  const what = words({ "data-field": "what" });
  const named = (/** @type {string} */ kind, /** @type {string} */ how) => write(what.value.trim() || kind, kind, how);
  fill(root, h("h1", {}, "Tools, rags, dropped things"),
    section("In the machine now", there.length === 0 ? h("p", {}, "Nothing is in.") : h("ul", { class: "open-list" },
      ...there.map(([key, row]) => h("li", {}, h("p", {}, `${row.what ?? key}: ${howMany(row)}`),
        h("div", { class: "ways" },
          row.in > row.out ? button("Out", () => write(row.what ?? key, row.kind, "out"), { "data-tap": "out" }) : null,
          row.dropped > row.found ? button("Found", () => write(row.what ?? key, row.kind, "found"), { "data-tap": "found" }) : null))))),
    labelled("What (may be left empty)", what),
    section("Put in", choiceList(KINDS, (kind) => named(kind, "in"))),
    section("Dropped", choiceList(DROPPED, (kind) => named(kind, "dropped"))),
    bigButton("Dropped, not sure what", () => write("something", "part", "dropped"), { "data-tap": "dropped" }));
}

/** @param {any} row */
const howMany = (row) =>
  row.in > row.out ? `in, ${row.in - row.out}` : `dropped, ${row.dropped - row.found}`;

export const routes = [["/job/:job/put", putThings]];
