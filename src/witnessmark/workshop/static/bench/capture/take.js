/**
 * Taking off: one big shutter, each photo a thing; name it then or later.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 * @typedef {import("./things.js").Thing} Thing
 */

import { openStops } from "../doing/returning.js";
import { fill, h } from "../dom.js";
import { bigButton, button, hexagon, link, notice, photoTaker } from "../parts.js";
import { newRecord } from "../records.js";
import { address, go } from "../router.js";
import { justWritten } from "../screens/taken_back.js";
import { nameIt, takeOff, thumbnail } from "./keeping.js";
import { lineField, typedFor } from "./reading_back.js";
import { counts, strokes, thingsOf, wordsOf } from "./things.js";

/** A job on a machine that nobody has described: the photo of its plate begins it.
 * @param {HTMLElement} root @param {Context} context */
export function begin(root, context) {
  fill(root,
    h("h1", {}, "A machine nobody has described"),
    h("p", {}, "Photograph its plate. The photo names the job until somebody types the plate."),
    photoTaker([h("b", {}, "PHOTO OF THE PLATE")], (blob) => started(root, context, blob),
      { class: "big camera shutter", "data-tap": "plate" }),
    bigButton("No plate: begin without", () => started(root, context, null), { "data-tap": "no-plate" }));
}

/** @param {HTMLElement} root @param {Context} context @param {Blob | null} blob */
async function started(root, context, blob) {
  const title = `${blob === null ? "No plate" : "Plate photo"}, ${context.clockTime(context.now())}`;
  try {
    const record = await newRecord(context.store, blob === null ? { title } : { title, photo: blob });
    record.close();
    go(address(["take", record.job]));
  } catch (error) {
    root.prepend(notice("caution", error instanceof Error ? error.message : String(error)));
  }
}

/** The shutter, with the last thing to be named. @param {HTMLElement} root @param {Context} context */
export function take(root, context) {
  const { record } = context;
  if (openStops(record.state).length > 0) return go(address(["job", record.job]));
  const things = strokes(thingsOf(record.state));
  const last = things[things.length - 1];
  const earlier = things.slice(0, -1).reverse();
  root.dataset.things = String(things.length);
  return fill(root,
    justWritten(context),
    last === undefined ? firstWords(context) : lastThing(root, context, last),
    shutter(root, context, last),
    h("div", { class: "actions two" },
      link("Refit list", address(["take", record.job, "list"]), { class: "big", "data-tap": "list" }),
      link("Something else", address(["take", record.job, "other"]), { class: "big", "data-tap": "other" }),
      link("Gates", address(["job", record.job, "gates"]), { class: "big" }),
      bigButton("STOPPED", () => stop(context), { "data-tap": "stopped" })),
    earlier.length > 0 ? h("h2", {}, `Before that: ${earlier.length}`) : null,
    h("ul", { class: "taken" }, ...earlier.map((each) => h("li", {}, thingLink(context, each)))));
}

/** @param {Context} context */
function firstWords(context) {
  const began = [...context.record.state.taken.values()].find((event) => event.type === "begin");
  return h("article", { class: "card" },
    h("p", { class: "place" }, context.record.title),
    thumbnail(context, began?.photos[0], "the plate", "last-photo"),
    h("p", {}, "Each photo is one thing off: a part, or the bolts on your hand."));
}

/** The big shutter, at the thumb. @param {HTMLElement} root @param {Context} context
 * @param {Thing | undefined} last */
function shutter(root, context, last) {
  const taken = async (/** @type {Blob} */ blob) => {
    const line = last === undefined ? null : typedFor(last.id);
    delete root.dataset.holding;
    if (last !== undefined && line !== null) await nameIt(context, last, line);
    await takeOff(context, blob);
  };
  return h("div", { class: "shutter-place" },
    photoTaker([h("b", {}, "OFF: PHOTO"), h("small", {}, "one thing, one photo")], taken,
      { class: "big camera shutter", "data-tap": "shutter" }));
}

/** @param {HTMLElement} root @param {Context} context @param {Thing} last */
function lastThing(root, context, last) {
  const beside = thingsOf(context.record.state).find((each) => each.values.beside === last.id);
  return h("article", { class: "card last", "data-thing": last.id },
    h("p", { class: "place" }, `Thing ${last.number}: ${last.says}`),
    h("h1", {}, wordsOf(last)),
    beside === undefined ? null : h("p", {}, wordsOf(beside)),
    thumbnail(context, last.photos[0], last.name, "last-photo"),
    last.named ? null : lineField(root, last, (line) => nameIt(context, last, line)),
    last.named ? button("Say more of it", () => go(thingAddress(context, last)), { "data-tap": "more" }) : null);
}

/** @param {Context} context @param {Thing} thing */
export const thingAddress = (context, thing) =>
  address(["take", context.record.job, "thing", thing.id]);

/** A thing as a line that leads to it. @param {Context} context @param {Thing} thing */
export function thingLink(context, thing) {
  const lies = thing.values["where it lies"];
  const said = [thing.named ? null : "not named yet", thing.says, lies].filter(Boolean).join(" · ");
  return h("a", { class: "big job", href: thingAddress(context, thing), "data-thing": thing.id },
    hexagon(thing.atRest), thumbnail(context, thing.photos[0], thing.name),
    h("span", {}, h("b", {}, wordsOf(thing)), h("small", {}, said)));
}

/** Stopping is one tap. @param {Context} context */
async function stop(context) {
  await context.record.write("stopped", {});
  go(address(["job", context.record.job, "stopped"]));
}

/** What came off against what is back. @param {Thing[]} things */
export function countLine(things) {
  const { off, on } = counts(things);
  return h("p", { class: "amount", "data-off": off, "data-on": on }, `${off} off, ${on} back on`);
}
