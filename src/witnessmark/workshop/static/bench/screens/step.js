/**
 * The step now: what, where, which tool, how tight and why; DONE, PHOTO, TROUBLE, STOPPED.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 * @typedef {import("../doing/plan.js").Step} Step
 * @typedef {import("../doing/acts.js").Act} Act
 */

import { actOf, actOn, blockAct } from "../doing/acts.js";
import { inTheWay } from "../doing/legal.js";
import { nextStep, steps } from "../doing/plan.js";
import { openStops } from "../doing/returning.js";
import { actionWords } from "../doing/words.js";
import { fill, h } from "../dom.js";
import { bigButton, button, lines, link, notice, photoTaker } from "../parts.js";
import { takePhoto } from "../photos_here.js";
import { address, go } from "../router.js";
import { stepCard } from "./card.js";
import { doneWith } from "./done.js";
import { gatesAhead } from "./gates_ahead.js";
import { lookAgain } from "./stopped.js";
import { nothingLeft } from "./finish.js";
import { optionalAsks } from "./optional.js";
import { pieceChooser } from "./pieces.js";
import { whatHappened } from "./meanwhile.js";
import { justWritten } from "./taken_back.js";

/** The step now, under what others did meanwhile. @param {HTMLElement} root
 * @param {Context} context */
async function stepNow(root, context) {
  const { record } = context;
  const happened = await whatHappened(context);
  const step = nextStep(record.state);
  const isEnd = step === null || isClosed(record.state);
  if (record.state.history.unknown.length > 0) unreadable(root, record.state.history.unknown.length);
  else if (openStops(record.state).length > 0) lookAgain(root, context);
  else if (isEnd && isTaking(record)) return go(address(["take", record.job]));
  else if (isEnd) nothingLeft(root, context);
  else draw(root, context, step, { planned: true });
  if (happened !== null) root.prepend(happened);
  return undefined;
}

/** @param {import("../../ledger/state.js").JobState} state */
const isClosed = (state) => state.rows.closings.at(-1)?.what === "closed";

/** A newer edition wrote on this job: this one can read what it knows, and writes nothing.
 * @param {HTMLElement} root @param {number} count */
const unreadable = (root, count) =>
  fill(root, notice("caution",
    h("b", {}, `${count} entries are of a newer edition. `),
    "This job can be read here, not written, and its gates are shut. Take the new edition first."),
  link("What waits, and the new edition", "#/waiting", { class: "big" }));

/** Whether a machine that nobody has described is being taken apart: there is no plan, and
 * nothing is off yet, or something still is. @param {import("../records.js").JobRecord} record */
function isTaking(record) {
  if ((record.pack.plan?.steps ?? []).length > 0 || isClosed(record.state)) return false;
  const noted = [...record.state.taken.values()].some((event) => event.type === "noted");
  return !noted || record.outstanding().length > 0;
}

/** A step that somebody chose, in whatever order. @param {HTMLElement} root
 * @param {Context} context @param {Params} params */
function stepChosen(root, context, { action, object }) {
  const { state } = context.record;
  const known = steps(state).find((each) => each.action === action && each.object === object);
  draw(root, context, known ?? unplanned(context, action, object), { planned: false });
}

/** An act of the machine as a whole: cranking, starting, lowering. @param {HTMLElement} root
 * @param {Context} context @param {Params} params */
function machineAct(root, context, { action }) {
  draw(root, context, unplanned(context, action, null), { planned: false });
}

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
function ownStepChosen(root, context, { object }) {
  const known = steps(context.record.state).find((each) => each.object === object);
  if (known) draw(root, context, known, { planned: false });
  else go(address(["job", context.record.job, "all"]));
}

/** A step that is in no plan, with what the pack knows of it.
 * @param {Context} context @param {string} action @param {string | null} object
 * @returns {Step} */
function unplanned(context, action, object) {
  const { state } = context.record;
  const row = object === null ? undefined : state.book.objects.get(object);
  const refit = state.book.actions.get(action)?.half === "refit";
  const tightness = refit && row?.tightness
    ? { text: row.tightness, second: "", detail: row.surface ?? "", source: row.source ?? "nobody said where it comes from" }
    : null;
  const card = {
    line: actionWords(state, action, object), pieces: "", text: "", caution: "", tightness,
    drive: [], measurement: "", marks: [], why: "", position: "", tool: "", aids: "", minutes: "",
  };
  return { number: 0, kind: refit ? "refit" : "strip", action, object, card, gates: [], done: false };
}

/** The act of a step with what is chosen of it. @param {Context} context @param {Step} step
 * @param {string[] | null} only @returns {Act} */
function actNow(context, step, only) {
  const { state } = context.record;
  if (step.kind === "block") return blockAct(state, step.object);
  return step.number > 0
    ? actOf(state, step, only)
    : actOn(state, step.action ?? "", step.object, { only, card: step.card });
}

/** @param {HTMLElement} root @param {Context} context @param {Step} step
 * @param {{planned: boolean}} how */
function draw(root, context, step, { planned }) {
  const chosen = context.session.chosen.get(step.object) ?? null;
  const act = actNow(context, step, chosen);
  const again = () => draw(root, context, step, { planned });
  const { record } = context;
  fill(root, h("div", { class: "two-columns" },
    h("div", { class: "first" },
      justWritten(context),
      planned ? null : notice("plain", "Not the plan's next step. ",
        link("Back to the plan", address(["job", record.job]))),
      notBefore(context),
      gatesAhead(context, step),
      stepCard(context, step, act),
      waysBarred(context, act)),
    h("div", { class: "second" },
      pieceChooser(context, act, again),
      optionalAsks(context, act, step.card, again),
      actions(root, context, step, act),
      others(context))));
  root.dataset.step = `${step.number || step.action} ${step.object} ${act.stage}`;
}

/** What stands in the way, by name. It may be written down nevertheless.
 * @param {Context} context @param {Act} act */
function waysBarred(context, act) {
  const broken = inTheWay(context.record.state, act);
  if (broken.length === 0) return null;
  return notice("caution", h("b", {}, "Not yet, by the rules:"),
    lines(broken.map((each) => each.says)),
    h("p", {}, "If it is done all the same, write it down: it is kept, and shown as odd."));
}

/** Times before which something may not be done. @param {Context} context */
function notBefore(context) {
  const waits = context.record.registers(context.now())["not before"];
  if (waits.length === 0) return null;
  return notice("plain", lines(waits.map((/** @type {any} */ each) =>
    `${each.says.replace(/: not yet$/, "")}: not before ${context.clockTime(each.until)}`)));
}

/** @param {HTMLElement} root @param {Context} context @param {Step} step @param {Act} act */
function actions(root, context, step, act) {
  const { record } = context;
  const photos = context.photosSince(record.state, step.object).length;
  return h("div", { class: "actions step-actions", role: "group", "aria-label": "This step" },
    bigButton([h("b", {}, "DONE"), doneWords(act)], () => doneWith(root, context, step, act),
      { class: "big done", "data-key": "done", "data-tap": "done" }),
    photoTaker([h("b", {}, "PHOTO"), photos ? ` ${photos} taken` : ""],
      (blob) => takePhoto(context, blob, step.object), { "data-tap": "photo" }),
    bigButton("TROUBLE", () => go(address(["job", record.job, "trouble"], { object: step.object, action: step.action })),
      { "data-key": "trouble", "data-tap": "trouble" }),
    bigButton("STOPPED", () => stop(context), { "data-key": "stopped", "data-tap": "stopped" }));
}

/** What DONE will state. @param {Act} act */
function doneWords(act) {
  const said = [act.says, act.count].filter(Boolean).join(", ");
  return said ? h("span", { class: "states" }, said) : null;
}

/** Stopping is one tap. @param {Context} context */
async function stop(context) {
  await context.record.write("stopped", {});
  go(address(["job", context.record.job, "stopped"]));
}

/** The ways to everything else. @param {Context} context */
function others(context) {
  const to = (/** @type {string} */ screen) => address(["job", context.record.job, screen]);
  return h("nav", { class: "others", "aria-label": "This job" },
    link("Something else first", to("all"), { "data-key": "all" }),
    link("Outstanding", to("open"), { "data-key": "outstanding" }),
    link("Registers", to("registers"), { "data-key": "registers" }),
    link("Gates", to("gates"), { "data-key": "gates" }),
    link("Log and undo", to("log"), { "data-key": "log" }),
    link("Second look", to("look"), { "data-key": "look" }),
    link("Tools, rags, dropped", to("put"), { "data-key": "put" }),
    link("Reading", to("reading"), { "data-key": "reading" }),
    link("Duties", to("duties"), { "data-key": "duties" }),
    link("Odd things", to("odd"), { "data-key": "odd" }),
    button("Glare", () => context.glare(), { "data-key": "glare" }));
}

export const routes = [
  ["/job/:job", stepNow],
  ["/job/:job/act/:action/:object", stepChosen],
  ["/job/:job/act/:action", machineAct],
  ["/job/:job/own/:object", ownStepChosen],
];
