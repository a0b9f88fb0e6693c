/**
 * Events that read otherwise than they were written: slips put right, and taken back.
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./state.js").History} History
 */

import { isRow, valueOf } from "./said.js";

const REPLACEABLE = ["action", "object", "values", "photos", "note"];

/** The events that read otherwise than they were written: null for those taken back.
 *
 * Read from the last to the first, so that a correction that was taken back counts for
 * nothing. Of several corrections of one event the last counts.
 * @param {History} history @returns {Map<string, Row | null>} */
export function corrections(history) {
  const found = new Map();
  for (const id of [...history.order].reverse()) {
    const event = /** @type {Row} */ (history.events.get(id));
    if (event.type !== "correct" || found.get(id) === null) continue;
    const target = event.values.corrects;
    const earlier = history.events.get(target);
    if (earlier === undefined || found.has(target) || !history.reaches(target, id)) continue;
    found.set(target, instead(earlier, valueOf(event.values, "instead")));
  }
  return found;
}

/** An event with the fields that a correction replaces.
 * @param {Row} event @param {unknown} fields @returns {Row | null} */
function instead(event, fields) {
  if (!isRow(fields)) return null;
  const changed = REPLACEABLE.filter((key) => Object.hasOwn(fields, key));
  return { ...event, ...Object.fromEntries(changed.map((key) => [key, fields[key]])) };
}
