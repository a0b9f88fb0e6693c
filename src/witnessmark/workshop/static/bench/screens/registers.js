/**
 * Registers: locks by hole, slack on purpose, parts off, counts, open ends, litres and the rest.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { fill, h } from "../dom.js";
import { clockTime, lines, section } from "../parts.js";

const ELSEWHERE = ["outstanding", "interruption", "conflicts"];

/** @param {HTMLElement} root @param {Context} context */
function everyRegister(root, context) {
  /** @type {[string, any[]][]} */
  const every = Object.entries(context.record.registers(context.now()))
    .filter(([name]) => !ELSEWHERE.includes(name));
  const filled = every.filter(([, rows]) => rows.length > 0);
  const empty = every.filter(([, rows]) => rows.length === 0).map(([name]) => name);
  fill(root, h("h1", {}, "Registers"),
    h("div", { class: "registers" }, ...filled.map(([name, rows]) =>
      h("div", { "data-register": name }, section(`${name[0].toUpperCase()}${name.slice(1)}: ${rows.length}`,
        lines(rows.map(words)))))),
    empty.length > 0 ? h("p", {}, `Empty: ${empty.join(", ")}.`) : null);
}

/** @param {any} row */
function words(row) {
  const parts = [row.says];
  if (typeof row.until === "number") parts.push(`before ${clockTime(row.until)}`);
  if (row.done === true) parts.push("done");
  if (row.who) parts.push(`taken off by ${row.who}`);
  if (row.way_round) parts.push(row.way_round);
  return parts.join(", ");
}

export const routes = [["/job/:job/registers", everyRegister]];
