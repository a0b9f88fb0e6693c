/**
 * The gates before a step, by name, with how much of each is open.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../doing/plan.js").Step} Step
 */

import { gatesOf } from "../doing/gating.js";
import { h } from "../dom.js";
import { hexagon, lines, link, more } from "../parts.js";
import { address } from "../router.js";

/** @param {Context} context @param {Step} step @returns {HTMLElement | null} */
export function gatesAhead(context, step) {
  const { record } = context;
  const gates = gatesOf(record.state, step);
  if (gates.length === 0) return null;
  return h("div", { class: "gates" }, ...gates.map((each) => {
    const found = record.gate(each.id, null, each.object, context.now());
    const open = found.open.filter((/** @type {any} */ row) => row.kind !== "purpose");
    const says = open.length === 0 ? "nothing open" : `${open.length} open: ${open[0].says}`;
    return h("div", { class: "gate", "data-gate": each.id },
      link([hexagon(false), h("span", {}, h("b", {}, `Gate, ${each.name}`), h("small", {}, says))],
        address(["job", record.job, "gate", each.id], { object: each.object }), { class: "lesser wide" }),
      each.lines.length > 0 ? more("What it looks at", lines(each.lines)) : null);
  }));
}
