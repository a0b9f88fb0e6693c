/**
 * Photos of a job as they are taken: kept on the phone at once, shown from there.
 *
 * @typedef {import("./router.js").Context} Context
 */

import { h } from "./dom.js";

/** Keep a photo and write down what it shows. @param {Context} context @param {Blob} blob
 * @param {string | null} object @param {{[word: string]: any}} values
 * @returns {Promise<string>} its hash */
export async function takePhoto(context, blob, object, values = {}) {
  const hash = await context.keepPhoto(context.record.job, blob);
  await context.record.write("photo", { object, photos: [hash], values });
  return hash;
}

/** The photos taken of an object since it was last worked on: they belong to what is done now.
 * @param {import("../ledger/state.js").JobState} state @param {string | null} object
 * @returns {string[]} */
export function photosSince(state, object) {
  const { order } = state.history;
  const worked = order.findLastIndex((id) => {
    const event = state.taken.get(id);
    return event !== undefined && ["done", "block"].includes(event.type) && event.object === object;
  });
  return order.slice(worked + 1).flatMap((id) => {
    const event = state.taken.get(id);
    return event?.type === "photo" && event.object === object && !event.values.for ? event.photos : [];
  });
}

/** A picture from bytes that this page holds; it is never put in as markup.
 * @param {Blob} blob @param {string} says @returns {HTMLElement} */
export function pictureOf(blob, says) {
  const source = URL.createObjectURL(blob);
  return h("img", {
    src: source, alt: says, class: "picture", onload: () => URL.revokeObjectURL(source),
  });
}
