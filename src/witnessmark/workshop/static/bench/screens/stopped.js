/**
 * Stopped, and coming back: the last three steps are looked at again and stated.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { lookedAt, openStops, toLookAt } from "../doing/returning.js";
import { latestFirst } from "../doing/nearest.js";
import { fill, h } from "../dom.js";
import { bigButton, lines, notice } from "../parts.js";
import { papers } from "./papers.js";
import { address, go } from "../router.js";

const STATED = [
  ["as recorded", "Looked: as written"],
  ["unknown", "Not sure: not known"],
];
const ANGLED = [
  ["paint marks", "Paint marks agree"],
  ["unknown", "No marks: not known"],
];

/** What the screen shows once the stop is written. @param {HTMLElement} root @param {Context} context */
function stoppedNow(root, context) {
  const { record } = context;
  if (openStops(record.state).length === 0) return go(address(["job", record.job]));
  const open = record.outstanding();
  return fill(root,
    h("article", { class: "card" },
      h("h1", {}, "Stopped"),
      h("p", {}, "It is written down. Before you go: lamp off, tools counted, key on its hook."),
      open.length > 0 ? h("p", { class: "amount" }, `${open.length} outstanding`) : null,
      lines(latestFirst(record.state, open).slice(0, 8).map((/** @type {any} */ each) => each.says))),
    h("div", { class: "actions two" },
      bigButton("I AM BACK", () => go(address(["job", record.job])), { "data-tap": "back" }),
      bigButton("Other jobs", () => go("#/"))),
    papers(record.job, ["handover-with-card"]));
}

/** Look at the last steps again. @param {HTMLElement} root @param {Context} context */
export function lookAgain(root, context) {
  const { record, session } = context;
  const steps = toLookAt(record.state);
  const stated = session.stated;
  const missing = steps.filter((step) => !stated.has(step.event)).length;
  const state = (/** @type {string} */ event, /** @type {string} */ how) => {
    stated.set(event, how);
    lookAgain(root, context);
  };
  fill(root,
    h("article", { class: "card" },
      h("h1", {}, "Back after a stop"),
      h("p", {}, steps.length > 0
        ? "Look at the last steps again, with eye and hand, and say how they stand. No further pull."
        : "Nothing was done before the stop."),
      ...steps.map((step) => again(step, stated.get(step.event) ?? null, state))),
    missing > 0 ? notice("plain", `${missing} to look at still`) : null,
    h("div", { class: "actions two" },
      bigButton("GO ON", () => comeBack(context), { "data-tap": "go-on", disabled: missing > 0 })));
}

/** @param {import("../doing/returning.js").Again} step @param {string | null} said
 * @param {(event: string, how: string) => void} state */
function again(step, said, state) {
  const choices = step.angled ? ANGLED : STATED;
  return h("fieldset", { class: "again" },
    h("legend", {}, step.says),
    step.angled ? h("p", {}, "Turned by an angle: only the paint marks can tell.") : null,
    h("div", { class: "choices" }, ...choices.map(([how, words]) =>
      bigButton(words, () => state(step.event, how), {
        class: "big choice", "aria-pressed": String(said === how), "data-key": `${step.event} ${how}`,
        "data-choice": how,
      }))));
}

/** @param {Context} context */
async function comeBack(context) {
  const { record, session } = context;
  await record.write("returned", { values: { looked: lookedAt(session.stated) } });
  session.stated = new Map();
  context.refresh();
}

export const routes = [["/job/:job/stopped", stoppedNow]];
