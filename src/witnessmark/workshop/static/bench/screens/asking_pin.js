/**
 * By name: who takes something on themselves, shown by their PIN.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { choosePerson } from "../me.js";
import { fill, h } from "../dom.js";
import { bigButton, labelled, notice, words } from "../parts.js";
import { checkPin } from "../pins.js";

/** Ask who, and the PIN.
 * @param {HTMLElement} root @param {Context} context @param {string} title what it is for
 * @param {(person: any) => boolean} may who may
 * @returns {Promise<any | null>} the person, with `checked`: where the PIN was checked, for the
 *   record's `values.pin`; null where somebody went back */
export async function byName(root, context, title, may = () => true) {
  const people = context.people.filter(may);
  root.dataset.holding = "pin";
  const person = await whoOf(root, title, people);
  const checked = person === null ? null : await pinOf(root, context, title, person);
  delete root.dataset.holding;
  return checked === null ? null : { ...person, checked };
}

/** @param {HTMLElement} root @param {string} title @param {any[]} people @returns {Promise<any | null>} */
const whoOf = (root, title, people) =>
  new Promise((resolve) => {
    fill(root, h("article", { class: "card ask" },
      h("p", { class: "place" }, title), h("h1", {}, "By whose name?"),
      people.length === 0 ? notice("plain", "Nobody on this phone may do this.") : null,
      h("div", { class: "choices" }, ...people.map((each) =>
        bigButton([h("b", {}, each.name), h("small", {}, each.role)], () => resolve(each),
          { class: "big choice", "data-person": each.id })))),
    h("div", { class: "actions two" }, bigButton("Back", () => resolve(null), { "data-tap": "back" })));
  });

/** @param {HTMLElement} root @param {Context} context @param {string} title @param {any} person
 * @returns {Promise<string | null>} where it was checked */
const pinOf = (root, context, title, person) =>
  new Promise((resolve) => {
    const field = words({
      type: "password", inputmode: "numeric", autocomplete: "off", "data-field": "pin", maxlength: 12,
    });
    const says = h("div", { role: "status" });
    const give = async (/** @type {Event} */ event) => {
      event.preventDefault();
      const answer = await checkPin(context.store, person, field.value);
      if (answer.right) return resolve(answer.where);
      field.value = "";
      says.replaceChildren(notice("caution", `${answer.says}.`));
      field.focus();
      return undefined;
    };
    fill(root, h("form", { class: "card ask", onsubmit: give },
      h("p", { class: "place" }, title), h("h1", {}, `PIN of ${person.name}`),
      labelled("PIN", field), says,
      h("div", { class: "actions two" },
        h("button", { type: "submit", class: "big", "data-tap": "pin" }, "GIVE"),
        bigButton("Back", () => resolve(null), { "data-tap": "back" }))));
    field.focus();
  });

/** Write something as somebody else than the one who holds the phone.
 * @template T @param {Context} context @param {any} person @param {() => Promise<T>} writing
 * @returns {Promise<T>} */
export async function as(context, person, writing) {
  const before = context.person?.id ?? person.id;
  await choosePerson(context.store, person.id);
  try {
    return await writing();
  } finally {
    await choosePerson(context.store, before);
  }
}
