/**
 * Saying later what an entry still owes: its wrench, its stage, a source, a new part's line.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 */

import { nameOf } from "../../ledger/book.js";
import { choicesFor } from "../doing/choices.js";
import { writtenAs } from "../doing/words.js";
import { fill, h } from "../dom.js";
import { choiceList, link } from "../parts.js";
import { address, go } from "../router.js";

/** @param {HTMLElement} root @param {Context} context @param {string} place @param {string} title
 * @param {string[]} choices @param {(said: string) => Promise<any>} write */
function ask(root, context, place, title, choices, write) {
  const open = address(["job", context.record.job, "open"]);
  const said = async (/** @type {string} */ words) => {
    context.session.last = [(await write(words)).id];
    go(open);
  };
  fill(root, h("article", { class: "card ask" }, h("p", { class: "place" }, place), h("h1", {}, title),
    choiceList(choices, said, { otherwise: "Something else" })),
  h("div", { class: "actions two" }, link("Back", open, { class: "big" })));
}

/** Evidence in words, as a correction of the entry that owes it.
 * @param {HTMLElement} root @param {Context} context @param {Params} params */
function sayEvidence(root, context, { event: id = "", word = "" }) {
  const { record } = context;
  const { state } = record;
  const event = state.taken.get(id);
  if (event === undefined) return go(address(["job", record.job, "open"]));
  const act = {
    type: "done", object: event.object, says: "", count: "", pieces: [], stage: 0, stages: 0, torque: null,
    writes: [{ action: event.action, values: {} }],
  };
  const asks = state.book.evidence.get(word)?.asks ?? "How was it tightened?";
  const key = word === "how tightened" ? "how" : word;
  return ask(root, context, writtenAs(state, id), asks, choicesFor(state, act, word, null), (said) =>
    record.write("correct", { values: { corrects: id, instead: { values: { ...event.values, [key]: said } } } }));
}

/** Where a figure comes from. @param {HTMLElement} root @param {Context} context @param {Params} params */
function source(root, context, { object = "" }) {
  const { record } = context;
  ask(root, context, nameOf(record.state.book, object), "Where does the figure come from? Book and page, or plate", [], (said) =>
    record.write("noted", { object, values: { source: said } }));
}

/** A new part is in. @param {HTMLElement} root @param {Context} context @param {Params} params */
function renewed(root, context, { object = "" }) {
  const { record } = context;
  const act = {
    type: "done", object, says: "", count: "", pieces: [], stage: 0, stages: 0, torque: null, writes: [],
  };
  const choices = choicesFor(record.state, act, "new part", null).filter((each) => each.startsWith("new"));
  ask(root, context, nameOf(record.state.book, object), "Which new one went in?", choices, (said) =>
    record.write("renewed", { object, values: { part: said.replace(/^new,? ?/, "") || "new" } }));
}

export const routes = [
  ["/job/:job/say", sayEvidence],
  ["/job/:job/source", source],
  ["/job/:job/renewed", renewed],
];
