/**
 * The card of a step: the words of the job card, at a size for arm's length.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../doing/plan.js").Step} Step
 * @typedef {import("../doing/acts.js").Act} Act
 * @typedef {import("../dom.js").Child} Child
 * @typedef {{[key: string]: any}} Row
 */

import { detailLines } from "../doing/stages.js";
import { steps } from "../doing/plan.js";
import { h } from "../dom.js";
import { hexagon, lines, more, notice } from "../parts.js";
import { pictureOf } from "../photos_here.js";

/** @param {Context} context @param {Step} step @param {Act} act @returns {HTMLElement} */
export function stepCard(context, step, act) {
  const { card } = step;
  const { state } = context.record;
  const where = state.book.objects.get(step.object)?.where ?? "";
  return h("article", { class: "card" },
    h("p", { class: "place" }, placeWords(context, step)),
    h("h1", {}, card.line),
    h("p", { class: "amount" }, amountWords(card, act)),
    where ? fact("Where", where) : null,
    card.tool ? fact("Tool", [card.tool, card.aids ? `, with ${card.aids}` : ""].join("")) : null,
    card.tightness ? tightness(card.tightness, act) : null,
    act.torque !== null && !card.tightness ? fact("Now", act.torque) : null,
    card.text ? h("p", { class: "text" }, card.text) : null,
    card.caution ? notice("caution", h("b", {}, "Caution. "), card.caution) : null,
    lines(card.marks, "lines marks"),
    lines(card.drive, "lines"),
    card.measurement ? fact("Measure", card.measurement) : null,
    pictures(context, step.object),
    step.kind === "refit" && card.tightness ? witnessMark(context) : null,
    card.why ? h("p", { class: "why" }, h("b", {}, "Why: "), card.why) : null);
}

/** Where one stands, how far the plan is, how long it takes by the file.
 * @param {Context} context @param {Step} step */
function placeWords(context, step) {
  const every = steps(context.record.state);
  const done = every.filter((each) => each.done).length;
  const parts = [
    step.card.position ? capital(step.card.position) : "",
    step.card.minutes, step.number ? `${done} of ${every.length} done` : "",
  ];
  return parts.filter(Boolean).join(" · ");
}

/** @param {string} words */
const capital = (words) => words.slice(0, 1).toUpperCase() + words.slice(1);

/** @param {Row} card @param {Act} act */
function amountWords(card, act) {
  return [act.says, act.count || card.pieces].filter(Boolean).join(" · ");
}

/** @param {string} word @param {Child | Child[]} says */
const fact = (word, says) => h("p", { class: "fact" }, h("b", {}, `${word}: `), says);

/** How tight: the figure of this pass large, the second unit, what it clamps, which wrench and
 * where the figure comes from. @param {Row} told @param {Act} act */
function tightness(told, act) {
  const staged = act.torque !== null && act.torque !== told.text;
  return h("div", { class: "tightness" },
    staged ? h("p", { class: "figure" }, h("b", {}, act.torque), ` now, pass ${act.stage} of ${act.stages}`) : null,
    h("p", { class: staged ? "second" : "figure" },
      h("b", {}, staged ? `${told.text} in all` : told.text), told.second ? `, ${told.second}` : ""),
    lines(detailLines(told).map((line) => ofLastPass(line, act)), "lines"),
    h("p", { class: "source" }, `Figure: ${told.source}`));
}

/** The wrench and its setting stand on the card for the last pass. @param {string} line
 * @param {Act} act */
const ofLastPass = (line, { stage, stages }) =>
  stage > 0 && stage < stages && line.includes(", set ") ? `for the last pass: ${line}` : line;

/** @param {Context} context @param {string} object */
function pictures(context, object) {
  /** @type {Row[]} */
  const drawings = context.record.pack.texts?.drawings?.[object] ?? [];
  if (drawings.length === 0) return null;
  const shown = drawings.map(({ title, svg }) =>
    h("figure", {}, pictureOf(new Blob([svg], { type: "image/svg+xml" }), title),
      h("figcaption", {}, title)));
  return h("div", { class: "pictures" }, ...shown);
}

/** The job's witness mark, in words and shape: the last act at a bolt.
 * @param {Context} context */
function witnessMark(context) {
  const mark = context.record.pack.texts?.job_card?.mark;
  const says = mark ? `${mark.colour}, ${mark.shape}` : "this job has no colour of its own; any line across bolt and part";
  return h("p", { class: "witness" }, hexagon(true), h("span", {}, "Paint line last: ", says));
}

/** Everything the card says beside the step: cautions of the job, whom to defer to.
 * @param {Context} context */
export function jobCautions(context) {
  const card = context.record.pack.texts?.job_card;
  if (!card) return null;
  return more("Cautions of this job", lines(card.cautions ?? []), h("p", {}, card.deference ?? ""));
}
