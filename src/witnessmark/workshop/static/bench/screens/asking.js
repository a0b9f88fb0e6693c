/**
 * One question at a time, each with its answers at one tap.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../doing/asks.js").Ask} Ask
 * @typedef {{values: {[word: string]: any}, photos: string[]}} Answered
 */

import { decimal, within } from "../doing/figures.js";
import { fill, h } from "../dom.js";
import { bigButton, button, choiceList, labelled, notice, photoTaker, words } from "../parts.js";
import { settingForm } from "./setting.js";

/** Ask everything, one after the other.
 * @param {HTMLElement} root @param {Context} context @param {string} title @param {Ask[]} asks
 * @returns {Promise<Answered | null>} null where the person went back */
export async function askAll(root, context, title, asks) {
  /** @type {Answered} */
  const found = { values: {}, photos: [] };
  for (const [at, ask] of asks.entries()) {
    const answer = await askOne(root, context, `${title}${asks.length > 1 ? ` · ${at + 1} of ${asks.length}` : ""}`, ask);
    if (answer === null) {
      delete root.dataset.holding;
      return null;
    }
    Object.assign(found.values, answer.values);
    found.photos.push(...answer.photos);
  }
  delete root.dataset.holding;
  return found;
}

/** @param {HTMLElement} root @param {Context} context @param {string} title @param {Ask} ask
 * @returns {Promise<Answered | null>} */
function askOne(root, context, title, ask) {
  return new Promise((resolve) => {
    const answer = (/** @type {{[word: string]: any}} */ values, /** @type {string[]} */ photos = []) =>
      resolve({ values, photos });
    // While something is asked, what comes in from others does not draw over it.
    root.dataset.holding = ask.word;
    fill(root,
      h("article", { class: "card ask", onkeydown: byNumber },
        h("p", { class: "place" }, title),
        h("h1", { tabindex: "-1", class: "asked" }, ask.says),
        HOW[ask.how](context, ask, answer)),
      h("div", { class: "actions two" },
        ask.how === "photo" || ask.owed
          ? bigButton("Leave it owed", () => answer({}), { "data-tap": "owed" }) : null,
        bigButton("Back", () => resolve(null), { "data-tap": "back" })));
    window.scrollTo(0, 0);
    /** @type {HTMLElement | null} */ (root.querySelector(".asked"))?.focus();
  });
}

/** A digit takes the choice of that number, wherever on the question the focus is.
 * @param {KeyboardEvent} event */
function byNumber(event) {
  const { target, currentTarget, defaultPrevented } = event;
  if (defaultPrevented || target instanceof HTMLInputElement || event.ctrlKey || event.altKey) return;
  if (!(currentTarget instanceof HTMLElement)) return;
  /** @type {NodeListOf<HTMLElement>} */
  const choices = currentTarget.querySelectorAll("[data-choice]");
  choices[Number(event.key) - 1]?.click();
}

/** @typedef {(values: {[word: string]: any}, photos?: string[]) => void} Answer */

/** @type {{[how: string]: (context: Context, ask: Ask, answer: Answer) => HTMLElement}} */
const HOW = {
  choose: (_, ask, answer) =>
    choiceList(ask.choices, (said) => answer({ [ask.word]: said }), { otherwise: "Something else" }),
  photo: (context, ask, answer) =>
    photoTaker("Take the photo", async (blob) =>
      answer({}, [await context.keepPhoto(context.record.job, blob)])),
  number: (context, ask, answer) => numberAsk(ask, answer),
  setting: (context, ask, answer) => settingForm(context, ask, answer),
  figure: (context, ask, answer) => figureAsk(answer),
};

/** @param {Ask} ask @param {Answer} answer */
function numberAsk(ask, answer) {
  const place = h("div", {});
  const take = (/** @type {string} */ typed) => {
    const read = decimal(typed);
    if (read === null) {
      place.replaceChildren(notice("caution", "That is no figure. Type it like 5.5"));
      return;
    }
    if (ask.limits === null) return answer({ [ask.word]: read });
    return judge(place, ask, read, answer);
  };
  const unit = ask.unit ? ` ${ask.unit}` : "";
  return h("div", {},
    choiceList(ask.choices.map((each) => `${each}${unit}`), (said) => take(said.replace(unit, "")),
      { otherwise: `Figure${unit ? `, in ${ask.unit}` : ""}`, field: { inputmode: "decimal" } }),
    place);
}

/** Say whether a reading keeps its limits before it is written; where that cannot be told, the
 * person says. @param {HTMLElement} place @param {Ask} ask @param {string} read @param {Answer} answer */
function judge(place, ask, read, answer) {
  const { at_least: least, at_most: most } = /** @type {any} */ (ask.limits);
  const keeps = within(read, least, most);
  const limits = [least !== null ? `at least ${least}` : "", most !== null ? `at most ${most}` : ""]
    .filter(Boolean).join(", ");
  if (keeps === true) return answer({ [ask.word]: read, within: true });
  if (keeps === false) {
    place.replaceChildren(
      notice("caution", h("b", {}, `${read} ${ask.unit ?? ""} is outside: ${limits}. `), "It stays outstanding."),
      bigButton(`Write ${read} all the same`, () => answer({ [ask.word]: read, within: false })));
    return undefined;
  }
  place.replaceChildren(
    bigButton(`${read}: as it should be`, () => answer({ [ask.word]: read, within: true })),
    bigButton(`${read}: not as it should be`, () => answer({ [ask.word]: read, within: false })));
  return undefined;
}

/** How a joint was tightened for which no figure of the maker's is known.
 * @param {Answer} answer */
function figureAsk(answer) {
  const torque = words({ placeholder: "25 N·m" });
  const source = words({ placeholder: "book and page, plate, size table" });
  const given = () => {
    if (torque.value.trim() === "") return torque.focus();
    const from = source.value.trim() || "not said";
    return answer({ how: "to a figure", figure: { text: torque.value.trim(), from } });
  };
  return h("div", {},
    choiceList(["as it was, by feel", "to its stop", "by hand, then a quarter turn"],
      (said) => answer({ how: said }), { otherwise: "Another way" }),
    h("div", { class: "other" }, labelled("A figure", torque), labelled("Where it comes from", source),
      button("Write the figure", given)));
}
