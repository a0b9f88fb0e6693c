/**
 * What else happens while things come off: caps, slack on purpose, pins, fluids, things put in.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 * @typedef {import("./noting.js").Entry} Entry
 */

import { decimal } from "../doing/figures.js";
import { fill, h } from "../dom.js";
import { labelled, link, notice, photoTaker, words } from "../parts.js";
import { address, go } from "../router.js";
import { deviceOf, writeAll } from "./keeping.js";
import { nextId } from "./noting.js";
import { thingsOf } from "./things.js";

/** @typedef {{says: string, asks: string, like: string, also?: {label: string, like: string},
 *   entries: (id: string, said: string, also: string) => Entry[]}} Kind */

/** @param {string} kind @param {string} how @returns {(id: string, said: string) => Entry[]} */
const put = (kind, how) => (_, said) => [{
  type: "put", fields: { values: { what: said, kind, how } },
}];

/** @param {string} kind @param {{[word: string]: any}} values @param {string | null} word
 * @returns {(id: string, said: string, also: string) => Entry[]} */
const noted = (kind, values, word = null) => (id, said, also) => [{
  type: "noted",
  fields: {
    object: id,
    values: { kind, name: said, line: said, ...values, ...(word && also !== "" ? { [word]: also } : {}) },
  },
}];

/** A fluid is noted and then drained, so that its litres are counted out and in.
 * @param {string} id @param {string} said @param {string} also @returns {Entry[]} */
const drained = (id, said, also) => [
  ...noted("circuit", {})(id, said, ""),
  {
    type: "done",
    fields: { action: "drain", object: id, values: also === "" ? {} : { "litres out": also } },
  },
];

/** @type {{[id: string]: Kind}} */
export const KINDS = {
  cap: { says: "Cap on an open end", asks: "Which end, and what closes it", like: "cap on the top hose", entries: put("cap", "in") },
  slack: {
    says: "Slack on purpose", asks: "What was left slack", like: "tensioner bolt",
    entries: noted("joint", { state: "slack", holds_said: true }),
  },
  lock: {
    says: "Pin or lock put in", asks: "Which pin", like: "drill shank in the flywheel",
    also: { label: "Which hole", like: "hole at the bellhousing" }, entries: noted("lock", { state: "in" }, "hole"),
  },
  drained: {
    says: "Fluid drained", asks: "Which fluid", like: "coolant",
    also: { label: "Litres out, if measured", like: "5.5" },
    entries: drained,
  },
  support: { says: "Support or jack put in", asks: "What carries what", like: "jack under the sump", entries: put("support", "in") },
  tool: { says: "Tool or rag left in", asks: "What is in, and where", like: "rag in the intake", entries: put("rag", "in") },
  dropped: { says: "Dropped", asks: "What fell, and where", like: "M6 nut behind the pulley", entries: put("fastener", "dropped") },
};

/** @param {HTMLElement} root @param {Context} context */
export function others(root, context) {
  const { job } = context.record;
  fill(root, h("h1", {}, "Something else"),
    h("div", { class: "choices" }, ...Object.entries(KINDS).map(([id, { says }]) =>
      link(says, address(["take", job, "other", id]), { class: "big choice", "data-other": id }))),
    link("Back to the shutter", address(["take", job]), { class: "big" }));
}

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
export function oneOther(root, context, { kind }) {
  const { job } = context.record;
  const about = KINDS[kind];
  if (about === undefined) return go(address(["take", job, "other"]));
  /** @type {string[]} */
  const photos = [];
  const place = h("div", {});
  root.dataset.holding = "other";
  const photographed = async (/** @type {Blob} */ blob) => {
    photos.push(await context.keepPhoto(job, blob));
    place.replaceChildren(notice("plain", `${photos.length} taken`));
  };
  return fill(root, formOf(root, context, kind, place, photos),
    photoTaker("PHOTO", photographed),
    link("Back", address(["take", job, "other"]), { class: "big" }));
}

/** What is asked of one of them. @param {HTMLElement} root @param {Context} context
 * @param {string} kind @param {HTMLElement} place where trouble is said @param {string[]} photos */
function formOf(root, context, kind, place, photos) {
  const about = KINDS[kind];
  const decimals = kind === "drained" ? "decimal" : null;
  const said = words({ placeholder: about.like, "data-key": "said", maxlength: 200 });
  const also = words({
    placeholder: about.also?.like ?? "", "data-key": "also", maxlength: 200, inputmode: decimals,
  });
  const submitted = (/** @type {Event} */ event) => {
    event.preventDefault();
    const [first, second] = [said.value.trim(), also.value.trim()];
    const trouble = wrong(kind, first, second);
    if (trouble === null) void write(root, context, kind, [first, second], photos);
    else place.replaceChildren(notice("caution", trouble));
  };
  return h("form", { class: "card ask", onsubmit: submitted },
    h("h1", {}, about.says), labelled(about.asks, said),
    about.also ? labelled(about.also.label, also) : null, place,
    h("button", { type: "submit", class: "big", "data-tap": "write" }, "WRITE IT"));
}

/** @param {HTMLElement} root @param {Context} context @param {string} kind
 * @param {[string, string]} words what was said, and what beside it @param {string[]} photos */
async function write(root, context, kind, [said, also], photos) {
  const id = nextId(thingsOf(context.record.state), deviceOf(context));
  const [first, ...rest] = KINDS[kind].entries(id, said, decimalOr(kind, also));
  const shown = { ...first, fields: { ...first.fields, photos } };
  delete root.dataset.holding;
  context.session.last = await writeAll(context, [shown, ...rest]);
  go(address(["take", context.record.job]));
}

/** @param {string} kind @param {string} said @param {string} also @returns {string | null} */
function wrong(kind, said, also) {
  if (said === "") return "Say which, in a few words.";
  if (kind === "drained" && also !== "" && decimal(also) === null) return "Type the litres like 5.5, or leave them out.";
  return null;
}

/** @param {string} kind @param {string} also */
const decimalOr = (kind, also) => (kind === "drained" ? (decimal(also) ?? "") : also);
