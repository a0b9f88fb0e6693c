/**
 * One thing: its photos, its line to be typed again, what held it, what it carries.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 * @typedef {import("./things.js").Thing} Thing
 */

import { fill, h } from "../dom.js";
import { bigButton, button, link, more, notice, photoTaker } from "../parts.js";
import { takePhoto } from "../photos_here.js";
import { address, go } from "../router.js";
import { bindAgain, nameIt, thumbnail, writeAll } from "./keeping.js";
import { heldBySaid, mended, takenBack } from "./noting.js";
import { asides, lineField } from "./reading_back.js";
import { ROLES, isCritical } from "./roles.js";
import { thingsOf, wordsOf } from "./things.js";

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
export function oneThing(root, context, { thing: id }) {
  const shutter = address(["take", context.record.job]);
  const things = thingsOf(context.record.state);
  const thing = things.find((each) => each.id === id);
  if (thing === undefined) return go(shutter);
  const takeBack = async () => {
    await writeAll(context, takenBack(thing));
    await bindAgain(context);
    go(shutter);
  };
  return fill(root, cardOf(root, context, thing),
    thing.kind === "part" ? heldBy(context, things, thing) : null,
    thing.kind === "joint" ? carries(context, thing) : null,
    h("div", { class: "actions two" },
      photoTaker("Another photo of it", (blob) => takePhoto(context, blob, thing.id)),
      link("Back to the shutter", shutter, { class: "big" })),
    more("It never came off", button("Take it back", takeBack, { "data-tap": "take-back" })));
}

/** What is known of it, and the line to type again. @param {HTMLElement} root
 * @param {Context} context @param {Thing} thing */
function cardOf(root, context, thing) {
  const lies = thing.values["where it lies"];
  const mend = async (/** @type {string} */ line) => {
    await nameIt(context, thing, line);
    go(address(["take", context.record.job]));
  };
  return h("article", { class: "card", "data-thing": thing.id },
    h("p", { class: "place" }, `Thing ${thing.number}: ${thing.says}${lies ? `, ${lies}` : ""}`),
    h("h1", {}, wordsOf(thing)),
    h("p", {}, said(thing)),
    ...asides(thing.values.not_understood ?? []),
    h("div", { class: "photos" }, ...thing.photos.map((photo) =>
      thumbnail(context, photo, thing.name, "last-photo"))),
    lineField(root, thing, mend));
}

/** What else is known of it. @param {Thing} thing */
function said({ values }) {
  const parts = [
    values.place, values.thread, values.head ? `head ${values.head}` : null,
    values.different ? `${values.different} lengths` : null,
    values.hand ? `${values.hand}-hand thread${values.hand === "left" ? ": undoes clockwise, seen from the head" : ""}` : null,
    values.single_use ? "single use: new ones go in" : null, values.surface,
  ];
  return parts.filter(Boolean).join(", ");
}

/** What held a part: by the order things came off, unless said otherwise.
 * @param {Context} context @param {Thing[]} things @param {Thing} part */
function heldBy(context, things, part) {
  const joints = things.filter((each) => each.kind === "joint");
  if (joints.length === 0) return null;
  const chosen = (/** @type {Thing} */ joint) => {
    const held = part.heldBy.includes(joint.id)
      ? part.heldBy.filter((each) => each !== joint.id) : [...part.heldBy, joint.id];
    return writeAll(context, heldBySaid(things, part, held)).then(() => bindAgain(context));
  };
  return h("section", {}, h("h2", {}, "Held by"),
    h("div", { class: "choices" }, ...joints.map((joint) =>
      bigButton(wordsOf(joint), () => void chosen(joint), {
        class: "big choice", "aria-pressed": String(part.heldBy.includes(joint.id)), "data-holds": joint.id,
      }))));
}

/** What a joint carries decides whether the source of its figure is asked for.
 * @param {Context} context @param {Thing} joint */
function carries(context, joint) {
  const { state } = context.record;
  const role = joint.values.role ?? null;
  const choose = (/** @type {string} */ each) =>
    void writeAll(context, [mended(joint, { ...joint.values, role: each })]);
  const list = h("div", { class: "choices" }, ...ROLES.map((each) =>
    bigButton(each, () => choose(each), {
      class: "big choice", "aria-pressed": String(role === each), "data-role": each,
    })));
  return h("section", {},
    h("p", {}, `It carries: `, h("b", {}, role ?? "nobody said")),
    isCritical(state, role)
      ? notice("caution", `A ${role} joint stays outstanding until the source of its figure is entered.`) : null,
    more("Change what it carries", list));
}
