/**
 * The head of every screen: where one is, what is outstanding, what waits, who holds the phone.
 *
 * @typedef {import("./router.js").Context} Context
 */

import { latestFirst } from "./doing/nearest.js";
import { h } from "./dom.js";
import { hexagon } from "./parts.js";
import { address } from "./router.js";

/** The head of a job's screens: what is outstanding is always in view, by count and name.
 * @param {Context} context @returns {HTMLElement} */
export function jobHead(context) {
  const { record } = context;
  const open = record.outstanding();
  const title = record.title ?? record.pack.machine.name;
  const nearest = latestFirst(record.state, open)[0];
  return h("header", { class: "head" },
    h("nav", { class: "crumbs", "aria-label": "Jobs" },
      h("a", { class: "lesser", href: "#/", "data-key": "jobs" }, "‹ Jobs"),
      h("a", { class: "job-name", href: address(["job", record.job]), "data-key": "job" }, title),
      whoAndWaiting(context)),
    h("a", {
      class: "open", href: address(["job", record.job, "open"]), "data-key": "open",
      "data-outstanding": open.length,
    }, hexagon(open.length === 0), openWords(open.length, nearest)));
}

/** @param {number} count @param {{says: string} | undefined} nearest */
function openWords(count, nearest) {
  if (nearest === undefined) return h("span", {}, "Nothing outstanding");
  return h("span", {}, h("b", {}, `${count} outstanding`), h("span", { class: "nearest" }, nearest.says));
}

/** The head of screens outside a job. @param {Context} context @param {string} title */
export const plainHead = (context, title) =>
  h("header", { class: "head" },
    h("nav", { class: "crumbs", "aria-label": "Jobs" },
      h("a", { class: "lesser", href: "#/", "data-key": "jobs" }, "‹ Jobs"),
      h("span", { class: "job-name" }, title), whoAndWaiting(context)));

/** Who holds the phone, and how many entries wait to be sent. @param {Context} context */
function whoAndWaiting(context) {
  const waits = context.waiting ?? 0;
  const who = context.person?.name ?? "Who?";
  return h("span", { class: "who" },
    context.takeEdition
      ? h("a", { class: "lesser", href: "#/waiting", "data-key": "edition" }, "New edition") : null,
    h("a", {
      class: "lesser", href: "#/waiting", "data-key": "waiting", "data-waiting": waits,
      "aria-label": waits === 0 ? "Everything is sent" : `${waits} wait to be sent`,
    }, waits === 0 ? "All sent" : `${waits} wait`),
    h("a", { class: "lesser", href: "#/who", "data-key": "who", "aria-label": `Who: ${who}` }, who));
}
