/**
 * Writing what was captured, and showing photos that this phone keeps.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("./noting.js").Entry} Entry
 * @typedef {import("./things.js").Thing} Thing
 */

import { h } from "../dom.js";
import { pictureOf } from "../photos_here.js";
import { photoHere } from "../records.js";
import { readLine } from "./line.js";
import { bindings, naming, nextId, thingOff } from "./noting.js";
import { strokes, thingsOf } from "./things.js";

/** Write entries one after the other. @param {Context} context @param {Entry[]} entries
 * @returns {Promise<string[]>} their ids */
export async function writeAll(context, entries) {
  const ids = [];
  for (const { type, fields } of entries) ids.push((await context.record.write(type, fields)).id);
  return ids;
}

/** A photo is a thing taken off: it is kept, noted, and held by the joint undone before it.
 * @param {Context} context @param {Blob} blob */
export async function takeOff(context, blob) {
  const { record } = context;
  const things = thingsOf(record.state);
  const photo = await context.keepPhoto(record.job, blob);
  const id = nextId(things, deviceOf(context));
  context.session.last = await writeAll(context, [thingOff(id, strokes(things).length + 1, photo)]);
  await bindAgain(context);
}

/** Name a thing by a line, or mend it. @param {Context} context @param {Thing} thing
 * @param {string} line */
export async function nameIt(context, thing, line) {
  const things = thingsOf(context.record.state);
  const now = things.find((each) => each.id === thing.id) ?? thing;
  await writeAll(context, naming(things, now, readLine(line), line, nextId(things, deviceOf(context))));
  context.session.last = [];
  await bindAgain(context);
}

/** What holds what, as things came off. @param {Context} context */
export const bindAgain = (context) => writeAll(context, bindings(thingsOf(context.record.state)));

/** @param {Context} context @returns {string} */
export const deviceOf = (context) => context.known.pairing?.device.id ?? "phone";

/** A small picture of a thing, once the phone has found it. @param {Context} context
 * @param {string | undefined} photo @param {string} says @param {string} kind */
export function thumbnail(context, photo, says, kind = "thumb") {
  const place = h("span", { class: kind });
  if (photo === undefined) return place;
  void photoHere(context.store, context.record.job, photo).then((blob) => {
    if (blob === null) place.append(h("small", {}, "photo on another phone"));
    else place.append(pictureOf(blob, says));
  });
  return place;
}
