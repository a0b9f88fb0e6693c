/**
 * A tensioner's setting: its reading, how warm the belt is, where the pointer stands and which
 * way it was turned, as many times as the maker has it set. A torque held on it is a setting,
 * never a tightness, and wants a wrench that shows its value.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../doing/asks.js").Ask} Ask
 * @typedef {import("./asking.js").Answer} Answer
 */

import { settingText } from "../doing/settings.js";
import { h } from "../dom.js";
import { bigButton, choiceList, labelled, lines, notice, words } from "../parts.js";

const WAYS = ["clockwise", "anticlockwise"];

/** @param {Context} context @param {Ask} ask @param {Answer} answer @returns {HTMLElement} */
export function settingForm(context, ask, answer) {
  /** @type {{[word: string]: string}[]} */
  const acts = [];
  const before = h("div", {});
  const { fields, read, again } = oneSetting();
  const finish = () => {
    const last = read();
    const every = Object.values(last).some(Boolean) ? [...acts, last] : acts;
    if (every.length > 0) answer({ setting: settingText(every), settings: every });
  };
  const next = () => {
    acts.push(read());
    before.replaceChildren(lines(acts.map((each, at) => `${at + 1}. ${settingText([each])}`)) ?? "");
    again();
  };
  return h("div", { class: "other" },
    notice("plain", "A torque held here is a setting, not a tightness: use a wrench that shows its value."),
    lines(ask.lines), before, ...fields,
    bigButton("Set; now again", next), bigButton("Set", finish, { "data-tap": "set" }));
}

/** The fields of one act of tensioning, how to read them, and how to begin the next. */
function oneSetting() {
  const reading = words({ placeholder: "12 N·m, or 90 Hz" });
  const warm = words({ inputmode: "decimal", placeholder: "20" });
  const pointer = words({ placeholder: "in the middle of its notch" });
  let way = "";
  const ways = choiceList(WAYS, (said) => {
    way = said;
    for (const each of ways.querySelectorAll("[data-choice]")) {
      each.setAttribute("aria-pressed", String(each.getAttribute("data-choice") === said));
    }
  }, { taken: "" });
  return {
    fields: [
      labelled("Reading and gauge", reading), labelled("Belt, in °C", warm),
      labelled("Pointer", pointer), h("p", {}, "Turned, seen as the step says:"), ways,
    ],
    read: () => ({
      reading: reading.value.trim(), "belt temperature": warm.value.trim(),
      pointer: pointer.value.trim(), direction: way,
    }),
    again: () => {
      reading.value = "";
      reading.focus();
    },
  };
}
