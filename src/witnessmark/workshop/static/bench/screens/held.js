/**
 * Entries that the workshop holds apart: they came late from a phone that was shut out. A person
 * of the job looks at each and lets it in, or leaves it apart; nothing is dropped.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { capital } from "../doing/words.js";
import { nameOf } from "../../ledger/book.js";
import { fill, h } from "../dom.js";
import { Link, UnreachedError } from "../link.js";
import { button, clockTime, lines, notice, section } from "../parts.js";

/** Ask the workshop what it holds apart, and show it.
 * @param {HTMLElement} place @param {Context} context */
export async function showHeld(place, context) {
  const { record, known } = context;
  const link = new Link(known.pairing.secret);
  try {
    const odd = await link.get(`/api/jobs/${record.job}/odd`);
    place.dataset.held = String(odd.held.length);
    fill(place, odd.held.length === 0 ? h("p", {}, "The workshop holds nothing apart.") : section(
      `Held apart: ${odd.held.length}`,
      h("p", {}, "From a phone that was shut out. Look at each before it counts."),
      h("ol", { class: "open-list" }, ...odd.held.map((/** @type {any} */ each) => oneHeld(place, context, link, each)))),
    brought(odd.brought));
  } catch (error) {
    const says = error instanceof UnreachedError
      ? "What the workshop holds apart is seen once it can be reached."
      : `The workshop does not show what it holds apart: ${error instanceof Error ? error.message : error}`;
    fill(place, notice("plain", says));
  }
}

/** @param {HTMLElement} place @param {Context} context @param {Link} link @param {any} held */
function oneHeld(place, context, link, held) {
  const { record, sender } = context;
  const event = JSON.parse(held.event);
  const says = event.action === null ? event.type
    : record.state.book.actions.get(event.action)?.says.replace("{}", nameOf(record.state.book, event.object)) ?? event.action;
  const letIn = async () => {
    await link.post(`/api/jobs/${record.job}/held/${held.id}/let-in`, {});
    await sender.sendNow();
    await showHeld(place, context);
  };
  return h("li", {}, h("p", {}, h("span", {}, h("b", {}, capital(says)),
    h("small", {}, ` ${event.person}, by the phone's clock ${clockTime(event.wall)}`))),
  button("Let it in", letIn, { "data-tap": "let-in" }));
}

/** @param {{event: string, brought_by: string}[]} rows */
const brought = (rows) =>
  rows.length === 0 ? null : section("Brought by another phone",
    lines([`${rows.length} entries came in by another phone than the one that wrote them.`]));
