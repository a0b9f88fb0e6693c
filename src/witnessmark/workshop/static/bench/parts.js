/**
 * Parts of screens: big buttons, choices, photos, the hexagon of what is outstanding.
 *
 * Nothing here needs a long press, a drag or a double tap; each part works with keys alone.
 *
 * @typedef {import("./dom.js").Child} Child
 */

import { drawn, h } from "./dom.js";

/** A main button, 20 mm high. @param {Child | Child[]} label @param {() => void} tapped
 * @param {{[name: string]: any}} more @returns {HTMLElement} */
export function bigButton(label, tapped, more = {}) {
  return h("button", { type: "button", class: "big", onclick: tapped, ...more }, label);
}

/** A lesser button. @param {Child | Child[]} label @param {() => void} tapped
 * @param {{[name: string]: any}} more */
export const button = (label, tapped, more = {}) =>
  h("button", { type: "button", class: "lesser", onclick: tapped, ...more }, label);

/** A link to another screen, as large as a button. @param {Child | Child[]} label
 * @param {string} href @param {{[name: string]: any}} more */
export const link = (label, href, more = {}) => h("a", { class: "lesser", href, ...more }, label);

/** The mark of this bench: an open hexagon is outstanding, one with a slanted stripe across it
 * is done and proved. @param {boolean} done @returns {SVGElement} */
export function hexagon(done) {
  const sides = drawn("path", { d: "M12 1.5 21 6.8v10.4L12 22.5 3 17.2V6.8z", class: "hexagon" });
  const stripe = drawn("path", { d: "M1 19 20 2l3 3L4 22z", class: "stripe" });
  const parts = done ? [sides, stripe] : [sides];
  return drawn("svg", { viewBox: "0 0 24 24", "aria-hidden": "true", class: "mark" }, ...parts);
}

/** A part of a screen under a heading. @param {string} title @param {...(Child | Child[])} children */
export const section = (title, ...children) =>
  h("section", {}, h("h2", {}, title), ...children);

/** Words that must be seen; a person using a reader hears them. @param {string} kind
 * @param {...(Child | Child[])} children */
export const notice = (kind, ...children) =>
  h("div", { class: `notice ${kind}`, role: kind === "caution" ? "note" : "status" }, ...children);

/** A list of lines; nothing when there are none. @param {(Child | Child[])[]} rows
 * @param {string} kind @returns {HTMLElement | null} */
export const lines = (rows, kind = "lines") =>
  rows.length === 0 ? null : h("ul", { class: kind }, ...rows.map((row) => h("li", {}, row)));

/** A label over what is typed. @param {string} label @param {HTMLElement} field */
export const labelled = (label, field) => h("label", { class: "field" }, h("span", {}, label), field);

/** A field for words; the phone's keyboard dictates into it.
 * @param {{[name: string]: any}} more @returns {HTMLInputElement} */
export const words = (more = {}) =>
  /** @type {HTMLInputElement} */ (h("input", { type: "text", autocomplete: "off", ...more }));

/** A button that opens the camera. @param {Child | Child[]} label
 * @param {(blob: Blob) => void} taken @param {{[name: string]: any}} more */
export function photoTaker(label, taken, more = {}) {
  const input = /** @type {HTMLInputElement} */ (h("input", {
    type: "file", accept: "image/*", capture: "environment", class: "unseen",
    onchange: () => {
      const file = input.files?.[0];
      input.value = "";
      if (file) taken(file);
    },
  }));
  return h("label", { class: "big camera", ...more }, input, h("span", {}, label));
}

/**
 * Choices of which one is taken at a tap, or by its number on a keyboard; and a field for what
 * is not among them.
 * @param {string[]} choices @param {(chosen: string) => void} chosen
 * @param {{otherwise?: string | null, field?: {[name: string]: any}, taken?: string | null}} more
 * @returns {HTMLElement} */
export function choiceList(choices, chosen, options = {}) {
  const { otherwise = null, field = {}, taken = null } = options;
  const buttons = choices.map((each, at) =>
    h("button", {
      type: "button", class: "big choice", onclick: () => chosen(each), "data-choice": each,
      "aria-pressed": taken === null ? null : String(taken === each),
    }, h("b", { class: "digit", "aria-hidden": "true" }, at + 1), h("span", {}, each)));
  const list = h("div", {
    class: "choices",
    onkeydown: (/** @type {KeyboardEvent} */ event) => byDigit(event, buttons),
  }, ...buttons);
  if (otherwise === null) return list;
  const other = otherField(otherwise, field, chosen);
  list.append(choices.length === 0 ? other : more(otherwise, other));
  return list;
}

/** @param {KeyboardEvent} event @param {HTMLElement[]} buttons */
function byDigit(event, buttons) {
  if (event.target instanceof HTMLInputElement || event.ctrlKey || event.altKey) return;
  const meant = buttons[Number(event.key) - 1];
  if (meant === undefined) return;
  event.preventDefault();
  meant.click();
}

/** @param {string} label @param {{[name: string]: any}} field @param {(said: string) => void} chosen */
function otherField(label, field, chosen) {
  const input = words(field);
  const given = (/** @type {Event} */ event) => {
    event.preventDefault();
    const said = input.value.trim();
    if (said !== "") chosen(said);
    else input.focus();
  };
  return h("form", { class: "other", onsubmit: given }, labelled(label, input),
    h("button", { type: "submit", class: "big" }, "Write it"));
}

/** Something that opens further: what is seldom wanted stands behind one tap.
 * @param {Child | Child[]} title @param {...(Child | Child[])} children */
export const more = (title, ...children) =>
  h("details", {}, h("summary", {}, title), ...children);

/** A time of the day, with the day where it is another. @param {number} when milliseconds */
export function clockTime(when) {
  const [then, now] = [new Date(when), new Date()];
  const time = then.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (then.toDateString() === now.toDateString()) return time;
  return `${then.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" })} ${time}`;
}
