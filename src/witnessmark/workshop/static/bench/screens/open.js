/**
 * What is outstanding, by name, each with the way to close it.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {{[key: string]: any}} Item
 */

import { latestFirst } from "../doing/nearest.js";
import { stepFor } from "../doing/plan.js";
import { fill, h } from "../dom.js";
import { button, hexagon, link, photoTaker } from "../parts.js";
import { address } from "../router.js";

/** @param {HTMLElement} root @param {Context} context */
function outstandingNow(root, context) {
  const open = context.record.outstanding();
  fill(root, h("h1", {}, open.length === 0 ? "Nothing outstanding" : `${open.length} outstanding`),
    openList(context, open));
}

/** @param {Context} context @param {Item[]} open @returns {HTMLElement | null} */
export function openList(context, open) {
  if (open.length === 0) return null;
  return h("ol", { class: "open-list" }, ...latestFirst(context.record.state, open).map((item) =>
    h("li", { "data-kind": item.kind },
      h("p", {}, hexagon(false), h("span", {}, item.says)), way(context, item))));
}

/** How a thing is closed. @param {Context} context @param {Item} item */
function way(context, item) {
  const { job } = context.record;
  const to = (/** @type {string} */ screen, /** @type {{[name: string]: any}} */ asks = {}) =>
    address(["job", job, ...screen.split("/")], { ...asks });
  return h("div", { class: "ways" }, WAYS[item.kind]?.(context, item, to) ?? null,
    NAMELESS.includes(item.kind) ? null
      : link("Leave it, by name", to("exception", { item: item.id }), { class: "lesser" }));
}

/** What only the coming in of more can close. */
const NAMELESS = ["unread", "gap", "missing photo", "interruption", "to be seen"];

/** @typedef {(screen: string, asks?: {[name: string]: any}) => string} To */

/** @type {{[kind: string]: (context: Context, item: Item, to: To) => any}} */
const WAYS = {
  open: closing,
  conflict: (_, item, to) => link("Settle it", to("odd", { item: item.id })),
  fork: (_, item, to) => link("Settle it", to("odd", { item: item.id })),
  flag: (_, item, to) => link("Settle it", to("settle", { item: item.id })),
  trouble: (_, item, to) => link("It is put right", to("settle", { item: item.id })),
  measured: (_, item, to) => [
    link("Measure again", to("reading", { object: item.object, what: item.says })),
    link("Settle it", to("settle", { item: item.id })),
  ],
  doubt: (_, item, to) => link("Settle it", to("settle", { item: item.id })),
  interruption: (_, item, to) => link("Look again", to("settle", { item: item.id })),
  gate: (_, item, to) => link("See the gates", to("gates", { item: item.id })),
  renew: (_, item, to) => link("New one is in", to("renewed", { object: item.object })),
  figure: (_, item, to) => link("Enter the source", to("source", { object: item.object })),
  "to be seen": (_, item, to) => link("Look at it", to(`look/${item.since}`)),
  litres: (_, item, to) => link("What can be done with it", to("all", { object: item.object })),
  evidence,
  tool: (context, item) => counted(context, item, "out", "It is out"),
  dropped: (context, item) => counted(context, item, "found", "It is found"),
};

/** @param {Context} context @param {Item} item @param {To} to */
function closing(context, item, to) {
  const { state, job } = context.record;
  const step = item.object === null ? null : stepFor(state, item.object);
  if (step === null) return link("What can be done with it", to("all", { object: item.object }));
  const at = step.kind === "block" ? ["job", job, "own", step.object] : ["job", job, "act", step.action, step.object];
  return link(`Step ${step.number}: ${step.card.line}`, address(at));
}

/** What is owed to an entry: a photo is taken at once, words are said.
 * @param {Context} context @param {Item} item @param {To} to */
function evidence(context, item, to) {
  const word = item.id.slice(`evidence:${item.since}:`.length);
  if (!word.startsWith("photo")) return link("Say it", to("say", { event: item.since, word }));
  return photoTaker("Take the photo", async (blob) => {
    const hash = await context.keepPhoto(context.record.job, blob);
    await context.record.write("photo", {
      object: item.object, photos: [hash], values: { for: item.since, evidence: word },
    });
  });
}

/** @param {Context} context @param {Item} item @param {string} how @param {string} says */
function counted(context, item, how, says) {
  const key = item.id.slice(item.kind.length + 1);
  const row = context.record.state.put.get(key);
  return button(says, () => context.record.write("put", {
    object: row?.what ? null : key, values: { what: row?.what ?? key, kind: row?.kind ?? null, how },
  }));
}

export const routes = [["/job/:job/open", outstandingNow]];
