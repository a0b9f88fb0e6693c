/**
 * The field for a line, with what is read of it shown under it as it is typed or dictated.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("./things.js").Thing} Thing
 */

import { h } from "../dom.js";
import { labelled, words } from "../parts.js";
import { readLine } from "./line.js";
import { sentenceOf } from "./sentence.js";

/** Fields typed in and not written yet, by thing: kept while the page is open. */
const TYPED = new Map();

/** The field of a thing. @param {HTMLElement} root @param {Thing} thing
 * @param {(line: string) => Promise<void>} written @returns {HTMLElement} */
export function lineField(root, thing, written) {
  const shown = h("p", { class: "reads", role: "status" });
  const input = inputFor(root, thing, shown);
  const write = async () => {
    TYPED.delete(thing.id);
    delete root.dataset.holding;
    if (input.value.trim() !== "") await written(input.value.trim());
  };
  const submitted = (/** @type {Event} */ event) => {
    event.preventDefault();
    void write();
  };
  readBack(shown, input.value);
  return h("form", { class: "naming", onsubmit: submitted },
    labelled("What is it? Type, or say it to the keyboard", input), shown,
    h("button", { type: "submit", class: "big", "data-tap": "name" }, "WRITE IT"));
}

/** @param {HTMLElement} root @param {Thing} thing @param {HTMLElement} shown */
function inputFor(root, thing, shown) {
  const input = words({
    value: TYPED.get(thing.id) ?? thing.values.line ?? "", maxlength: 500, class: "line",
    enterkeyhint: "done", "data-key": `line ${thing.id}`, autocapitalize: "off",
    placeholder: "two bolts, 13 mm head, tray 2",
    oninput: () => {
      TYPED.set(thing.id, input.value);
      // What is being typed is not drawn over by what comes in.
      root.dataset.holding = "line";
      readBack(shown, input.value);
    },
  });
  return input;
}

/** What is typed for a thing and not written: it is written before the next photo.
 * @param {string} thing @returns {string | null} */
export function typedFor(thing) {
  const line = (TYPED.get(thing) ?? "").trim();
  TYPED.delete(thing);
  return line === "" ? null : line;
}

/** @param {HTMLElement} place @param {string} line */
function readBack(place, line) {
  if (line.trim() === "") return place.replaceChildren();
  const reading = readLine(line);
  const sentence = sentenceOf(reading);
  return place.replaceChildren(
    h("b", {}, sentence === "" ? "Nothing read." : `Reads: ${sentence}.`),
    ...asides(reading.notUnderstood, reading.disagrees));
}

/** @param {string[]} notUnderstood @param {string | null} disagrees */
export function asides(notUnderstood, disagrees = null) {
  const found = [];
  if (notUnderstood.length > 0) {
    const said = notUnderstood.map((each) => `“${each}”`).join(", ");
    found.push(h("span", { class: "unread" }, ` Not understood: ${said}. It is kept as you said it.`));
  }
  if (disagrees !== null) found.push(h("span", { class: "unread" }, ` Does not agree: ${disagrees}.`));
  return found;
}
