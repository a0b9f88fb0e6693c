/**
 * Leaving something outstanding as it is: by a named person, with a reason and a PIN. It stays
 * in the register and on every paper.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 */

import { fill, h } from "../dom.js";
import { bigButton, labelled, link, words } from "../parts.js";
import { address, go } from "../router.js";
import { as, byName } from "./asking_pin.js";

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
function leaveIt(root, context, { item: id = "" }) {
  const { record, session } = context;
  const open = address(["job", record.job, "open"]);
  const item = record.outstanding().find((/** @type {any} */ each) => each.id === id);
  if (item === undefined) return go(open);
  const reason = words({ "data-field": "reason" });
  const leave = async () => {
    const why = reason.value.trim();
    if (why === "") return reason.focus();
    const person = await byName(root, context, "Left as it is");
    if (person === null) return context.refresh();
    const fields = { object: item.object, values: { items: [item.id], reason: why, pin: person.checked } };
    session.last = [(await as(context, person, () => record.write("exception", fields))).id];
    return go(open);
  };
  return fill(root, h("article", { class: "card" },
    h("p", { class: "place" }, "Leave it as it is, by name"), h("h1", {}, item.says),
    labelled("Reason", reason)),
  h("div", { class: "actions two" }, bigButton("LEAVE IT", leave, { "data-tap": "leave" }), link("Back", open, { class: "big" })));
}

export const routes = [["/job/:job/exception", leaveIt]];
