/**
 * Everything that may be done now, found by typing; and anything else that somebody did.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 * @typedef {import("../doing/legal.js").Choice} Choice
 */

import { legalNow, searched } from "../doing/legal.js";
import { fill, h } from "../dom.js";
import { labelled, link, words } from "../parts.js";
import { address } from "../router.js";

const MOST = 60;

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
function everyAction(root, context, { object = "" }) {
  const { state } = context.record;
  const about = object === "" ? null : object;
  const list = h("div", { "aria-live": "polite" });
  const show = (/** @type {string} */ typed) => {
    const found = (typed.trim() === "" && about === null ? legalNow(state) : searched(state, typed))
      .filter((each) => about === null || each.object === about);
    list.replaceChildren(choices(context, found));
    list.dataset.found = String(found.length);
  };
  const field = words({
    type: "search", "data-field": "search", placeholder: "bolts, cover, drain",
    oninput: (/** @type {any} */ event) => show(event.target.value),
  });
  fill(root, h("h1", {}, about === null ? "What may be done now" : state.book.objects.get(about)?.name ?? about),
    h("p", {}, "In any order. Nobody is asked why. Type to find what is not shown."),
    labelled("Find", field), list);
  show("");
}

/** @param {Context} context @param {Choice[]} found */
function choices(context, found) {
  const rows = found.slice(0, MOST).map((each) => h("li", { "data-legal": String(each.legal) },
    link([h("span", {}, h("b", {}, each.says), h("small", {}, detail(each)))], to(context, each),
      { class: "lesser wide", "data-action": each.action, "data-object": each.object })));
  const left = found.length - MOST;
  return h("div", {},
    found.length === 0 ? h("p", {}, "Nothing of that name starts from where things stand.") : null,
    h("ul", { class: "jobs" }, ...rows),
    left > 0 ? h("p", {}, `${left} more: type a word.`) : null);
}

/** @param {Choice} choice */
function detail({ legal, because, planned }) {
  if (!legal) return ` Not yet: ${because}. It can be written down all the same.`;
  return planned === null ? " Not in the plan" : ` Step ${planned} of the plan`;
}

/** @param {Context} context @param {Choice} choice */
const to = (context, { action, object }) =>
  action === null
    ? address(["job", context.record.job, "own", object])
    : address(["job", context.record.job, "act", action, object]);

export const routes = [["/job/:job/all", everyAction]];
