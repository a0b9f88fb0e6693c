/**
 * Putting a thing back: what nobody's figure says, the person says.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 * @typedef {import("./things.js").Thing} Thing
 */

import { decimal } from "../doing/figures.js";
import { fill, h } from "../dom.js";
import { choiceList, labelled, notice, words } from "../parts.js";
import { address, go } from "../router.js";
import { isCritical } from "./roles.js";
import { heldStillOff, thingsOf, wordsOf } from "./things.js";

const HOW = ["by feel", "gun, then by feel", "gun, then wrench", "wrench to a figure", "clicked or seated"];

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
export function close(root, context, { thing: id }) {
  const things = thingsOf(context.record.state);
  const thing = things.find((each) => each.id === id);
  const back = () => go(address(["take", context.record.job, "list"]));
  if (thing === undefined || thing.atRest) return back();
  const forms = { joint: tighten, lock: pullOut, circuit: fillUp };
  const form = forms[/** @type {keyof typeof forms} */ (thing.kind)] ?? putBack;
  root.dataset.holding = "closing";
  const written = async (/** @type {any[]} */ entries) => {
    delete root.dataset.holding;
    const ids = [];
    for (const [type, fields] of entries) ids.push((await context.record.write(type, fields)).id);
    context.session.last = ids;
    back();
  };
  return form(root, context, thing, written, things);
}

/** @typedef {(entries: [string, {[word: string]: any}][]) => Promise<void>} Written */

/** A joint: how it was tightened, how many went in, and the figure with its source if there is one.
 * @param {HTMLElement} root @param {Context} context @param {Thing} joint @param {Written} written
 * @param {Thing[]} things */
function tighten(root, context, joint, written, things) {
  const fields = {
    count: words({ inputmode: "numeric", value: String(joint.of), "data-key": "count" }),
    figure: words({ placeholder: "40 N·m", "data-key": "figure" }),
    source: words({ placeholder: "the book and page, or the plate it stands on", "data-key": "source" }),
    fresh: words({ placeholder: "which ones", "data-key": "new" }),
  };
  const chosen = (/** @type {string} */ how) => {
    const said = Object.entries(fields).map(([word, field]) => [word, field.value.trim()]);
    void written(tightened(joint, /** @type {any} */ ({ how, ...Object.fromEntries(said) })));
  };
  fill(root, h("article", { class: "card ask" },
    h("p", { class: "place" }, wordsOf(joint)),
    h("h1", { tabindex: "-1" }, "How was it tightened?"),
    notice("plain", "No maker's figure is known. What you say is what papers print."),
    ...cautions(context, joint, things),
    joint.of > 1 ? labelled(`How many are in, of ${joint.of}`, fields.count) : null,
    joint.values.single_use ? labelled("Single use: which new ones went in", fields.fresh) : null,
    h("details", { open: isCritical(context.record.state, joint.values.role ?? null) },
      h("summary", {}, "A figure, and where it stands"),
      labelled("Figure, with its unit", fields.figure), labelled("Where it stands", fields.source)),
    choiceList(HOW, chosen, { otherwise: "In your words", field: { placeholder: "gun then wrench 40 N·m from the label" } })));
  /** @type {HTMLElement | null} */ (root.querySelector("h1"))?.focus();
}

/** What must be seen before a joint is closed. @param {Context} context @param {Thing} joint
 * @param {Thing[]} things @returns {HTMLElement[]} */
function cautions(context, joint, things) {
  const before = heldStillOff(things, joint).map((each) => each.name).join(", ");
  const role = joint.values.role ?? null;
  return [
    before === "" ? null : `Still off: ${before}. They go on first.`,
    isCritical(context.record.state, role)
      ? `A ${role} joint: it stays outstanding until the source of a figure is entered.` : null,
    joint.values.hand === "left"
      ? "Left-hand thread: tightens anticlockwise, seen from the head." : null,
  ].flatMap((says) => (says === null ? [] : [notice("caution", says)]));
}

/** The entries of a joint tightened. A figure counts with its source; without, it is only how.
 * @param {Thing} joint @param {{how: string, count: string, figure: string, source: string,
 *   fresh: string}} said @returns {[string, {[word: string]: any}][]} */
export function tightened(joint, { how, count, figure, source, fresh }) {
  const number = Number(count);
  const some = Number.isInteger(number) && number >= 1 && number < joint.of;
  const action = joint.state === "out" || joint.on > 0 ? "make" : "tighten";
  const values = {
    how: figure !== "" && source === "" ? `${how}, ${figure}` : how,
    ...(some ? { count: number } : {}),
    ...(joint.values.single_use && fresh !== "" ? { "new fasteners": fresh } : {}),
  };
  /** @type {[string, {[word: string]: any}][]} */
  const entries = [["done", { action, object: joint.id, values }]];
  if (figure !== "" && source !== "") {
    entries.push(["noted", { object: joint.id, values: { tightness: figure, source, how } }]);
  }
  return entries;
}

/** A lock or pin: counted out. @param {HTMLElement} root @param {Context} _ @param {Thing} lock
 * @param {Written} written */
function pullOut(root, _, lock, written) {
  fill(root, h("article", { class: "card ask" },
    h("p", { class: "place" }, wordsOf(lock)),
    h("h1", {}, "Which are out, counted?"),
    choiceList(["1, in the hand", "2, in the hand"], (said) => void written([
      ["done", { action: "pull-out", object: lock.id, values: { "locks out": said } }],
    ]), { otherwise: "In your words" })));
}

/** A fluid: litres in, and the level. @param {HTMLElement} root @param {Context} context
 * @param {Thing} circuit @param {Written} written */
function fillUp(root, context, circuit, written) {
  const out = context.record.state.rows.litres
    .filter((row) => row.object === circuit.id && row.way === "litres out")
    .map((row) => row.litres).join(" + ");
  const [litres, level] = [
    words({ inputmode: "decimal", placeholder: "5.5", "data-key": "litres" }),
    words({ placeholder: "on the mark, cold", "data-key": "level" }),
  ];
  const place = h("div", {});
  const given = (/** @type {Event} */ event) => {
    event.preventDefault();
    const read = decimal(litres.value);
    if (read === null || level.value.trim() === "") {
      place.replaceChildren(notice("caution", "Say how many litres went in, like 5.5, and where the level stands."));
      return;
    }
    void written([["done", {
      action: "fill-and-bleed", object: circuit.id, values: { "litres in": read, level: level.value.trim() },
    }]]);
  };
  fill(root, h("form", { class: "card ask", onsubmit: given },
    h("p", { class: "place" }, wordsOf(circuit)),
    h("h1", {}, "Filled, bled and checked"),
    out === "" ? null : h("p", { class: "amount" }, `Out: ${out} L`),
    labelled("Litres in", litres), labelled("Where the level stands, and how warm", level), place,
    h("button", { type: "submit", class: "big", "data-tap": "filled" }, "WRITE IT")));
}

/** Anything else: put back as it was found. @param {HTMLElement} root @param {Context} context
 * @param {Thing} thing @param {Written} written */
function putBack(root, context, thing, written) {
  const action = context.record.state.book.rules.actions.find((/** @type {any} */ each) =>
    each.kind === thing.kind && each.half === "refit" && each.sources.includes(thing.state));
  fill(root, h("article", { class: "card ask" },
    h("p", { class: "place" }, wordsOf(thing)), h("h1", {}, "Back as it was?"),
    choiceList(["Yes, by my own eyes"], (said) => void written([
      ["done", { action: action?.id ?? "", object: thing.id, values: { "who may": said } }],
    ]))));
}
