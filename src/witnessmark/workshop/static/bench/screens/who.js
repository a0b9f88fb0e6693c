/**
 * Who holds the phone: one tap, no wall.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { choosePerson, pairWith } from "../me.js";
import { fill, h } from "../dom.js";
import { bigButton, labelled, lines, notice, words } from "../parts.js";
import { go } from "../router.js";

/** @param {HTMLElement} root @param {Context} context */
function who(root, context) {
  const { people, person } = context;
  const choose = async (/** @type {string} */ id) => {
    await choosePerson(context.store, id);
    if (window.history.length > 1) window.history.back();
    else go("#/");
  };
  fill(root, h("h1", {}, "Who?"),
    people.length === 0 ? notice("plain", "The workshop has not told this phone who works there yet.") : null,
    h("div", { class: "choices" }, ...people.map((/** @type {any} */ each) =>
      bigButton([h("b", {}, each.name), h("small", {}, each.role)], () => choose(each.id), {
        "aria-pressed": String(each.id === person?.id), class: "big choice", "data-person": each.id,
      }))));
}

/** @param {HTMLElement} root @param {Context} context */
function pair(root, context) {
  if (context.known.pairing !== null) return go("#/");
  const code = words({ autocapitalize: "characters", "data-field": "code" });
  const name = words({ value: "Phone" });
  const says = h("div", { role: "status" });
  const give = async (/** @type {Event} */ event) => {
    event.preventDefault();
    try {
      const answer = await pairWith(context.store, code.value.trim(), name.value.trim() || "Phone");
      if (answer.paired) return go("#/");
      says.replaceChildren(notice("caution", answer.says ?? "The workshop does not take this code."));
    } catch {
      says.replaceChildren(notice("caution", "The workshop cannot be reached from here."));
    }
    return undefined;
  };
  return fill(root, h("h1", {}, "Pair this phone"),
    lines(["At the workshop's screen: People, then Pair a phone.", "Read the code there and type it here."]),
    h("form", { class: "other", onsubmit: give }, labelled("Code", code), labelled("What to call this phone", name),
      h("button", { type: "submit", class: "big" }, "PAIR")), says);
}

export const routes = [["/who", who], ["/pair", pair]];
