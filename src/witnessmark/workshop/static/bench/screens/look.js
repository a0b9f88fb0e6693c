/**
 * A second look: it names what was seen. By another person with their PIN at once; alone it is
 * later, with a photo, and reads "same person".
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 */

import { waitingToBeSeen } from "../doing/seen.js";
import { writtenAs } from "../doing/words.js";
import { fill, h } from "../dom.js";
import { bigButton, clockTime, labelled, link, notice, photoTaker, words } from "../parts.js";
import { address, go } from "../router.js";
import { as, byName } from "./asking_pin.js";

const MOST = 40;

/** @param {HTMLElement} root @param {Context} context */
function looks(root, context) {
  const { record } = context;
  const { state } = record;
  const waiting = waitingToBeSeen(state, record.outstanding());
  const ids = [...state.taken.keys()].reverse()
    .filter((id) => state.event(id).type === "done" && state.event(id).object !== null);
  const first = [...ids].sort((one, other) => Number(waiting.has(other)) - Number(waiting.has(one)));
  fill(root, h("h1", {}, "Second look"),
    h("p", {}, "Which act did you look at?"),
    h("ul", { class: "jobs" }, ...first.slice(0, MOST).map((id) => h("li", {},
      link([h("span", {}, h("b", {}, writtenAs(state, id)),
        h("small", {}, ` ${state.event(id).person}, ${clockTime(state.event(id).wall)}${waiting.has(id) ? "; must be seen before it is covered" : ""}`))],
      address(["job", record.job, "look", id]), { class: "lesser wide", "data-act": id })))));
}

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
function lookAt(root, context, { event: id }) {
  const { record, session } = context;
  const { state } = record;
  if (!state.taken.has(id)) return go(address(["job", record.job, "look"]));
  const event = state.event(id);
  const said = session.saidOf(`look ${id}`);
  const field = words({ "data-field": "seen", value: said.note ?? "", oninput: (/** @type {any} */ each) => { said.note = each.target.value; } });
  const says = h("div", { role: "status" });
  const give = async () => {
    const seen = field.value.trim();
    if (seen === "") {
      says.replaceChildren(notice("caution", "Name what you saw."));
      return field.focus();
    }
    const person = await byName(root, context, "Second look");
    if (person === null) return context.refresh();
    const fields = {
      object: event.object, photos: said.photos, note: seen,
      values: { looked_at: [id], pin: person.checked },
    };
    session.last = [(await as(context, person, () => record.write("look", fields))).id];
    session.forget(`look ${id}`);
    return go(address(["job", record.job]));
  };
  return fill(root, h("article", { class: "card" },
    h("p", { class: "place" }, "Second look"), h("h1", {}, writtenAs(state, id)),
    h("p", {}, `Done by ${event.person}, ${clockTime(event.wall)}. By the same person it must be later, with a photo.`),
    labelled("What did you see?", field), says,
    photoTaker(["PHOTO", said.photos.length ? ` ${said.photos.length} taken` : ""], async (blob) => {
      said.photos.push(await context.keepPhoto(record.job, blob));
      lookAt(root, context, { event: id });
    })),
  h("div", { class: "actions two" }, bigButton("SEEN", give, { "data-tap": "seen" }),
    link("Back", address(["job", record.job, "look"]), { class: "big" })));
}

export const routes = [["/job/:job/look", looks], ["/job/:job/look/:event", lookAt]];
