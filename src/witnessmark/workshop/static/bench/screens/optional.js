/**
 * What is good to know and not owed: where it lies, which way round, which wrench. One tap each,
 * before DONE; none is pressed beforehand.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../doing/acts.js").Act} Act
 */

import { asksOf } from "../doing/asks.js";
import { h } from "../dom.js";
import { choiceList, labelled, more, words } from "../parts.js";

/** @param {Context} context @param {Act} act @param {{[key: string]: any} | null} card
 * @param {() => void} again @returns {HTMLElement | null} */
export function optionalAsks(context, act, card, again) {
  const said = context.session.saidOf(act.object);
  const asks = asksOf(context.record.state, act, card).filter((ask) => !ask.owed);
  const say = (/** @type {string} */ word, /** @type {string} */ value) => {
    if (said.values[word] === value) delete said.values[word];
    else said.values[word] = value;
    again();
  };
  const rows = asks.map((ask) => {
    const value = said.values[ask.word] ?? null;
    const choices = value === null || ask.choices.includes(value) ? ask.choices : [value, ...ask.choices];
    const list = choiceList(choices, (chosen) => say(ask.word, chosen), {
      otherwise: "Something else", taken: value ?? "",
    });
    const title = [h("span", {}, ask.says), h("b", { class: "said" }, value ?? "")];
    const open = more(title, list);
    if (value === null && ask === asks[0]) open.setAttribute("open", "");
    open.setAttribute("data-ask", ask.word);
    return open;
  });
  return h("div", { class: "optional" }, ...rows, noteField(said));
}

/** @param {{note: string | null}} said */
function noteField(said) {
  const field = words({
    value: said.note ?? "", maxlength: 4000,
    oninput: (/** @type {any} */ event) => { said.note = event.target.value.trim() || null; },
  });
  return more("Note", labelled("A note, typed or dictated", field));
}
