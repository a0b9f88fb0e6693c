/**
 * What an action owes beside its record: stage, wrench, photo of the marks, level, litres.
 * @typedef {import("./interpreter.js").Book} Book
 * @typedef {import("./interpreter.js").Row} Row
 */

import { isRow, isSaid, valueOf } from "./said.js";

const PHOTO = "photo of the marks";
/** Asked where no figure for a joint exists: how did you tighten it? */
export const HOW = "how tightened";

/** The evidence an action on an object must bring, else the object stays outstanding.
 * @param {Book} book @param {Row} action @param {Row} row @returns {string[]} */
export function owed(book, action, row) {
  /** @type {string[]} */
  const asked = [...action.evidence];
  if (row.critical) asked.push(...action.critical_evidence);
  if (row.single_use) asked.push(...action.renewal_evidence);
  if (row.sets !== null) asked.push(...action.setting_evidence);
  const found = asked.filter((each) => book.evidence.get(each)?.owed);
  const made = action.target === "made" && action.half === "refit";
  if (made && row.tightness === null) found.push(HOW);
  return found;
}

/** What is owed and not said in an event.
 * @param {Book} book @param {Row} action @param {Row} row @param {Row} event @returns {string[]} */
export function lacking(book, action, row, event) {
  return owed(book, action, row).filter((each) => !isBrought(event, each));
}

/** What earlier events on a cell owe still, as `[event, evidence]`.
 *
 * Opened further, the object will be closed anew and nothing of the old closing matters; what
 * this event was asked too and does not lack is owed no more.
 * @param {import("./cells.js").Entry[]} before @param {string[]} asked @param {string[]} lacks
 * @param {boolean} deeper @returns {[string, string][]} */
export function stillOwed(before, asked, lacks, deeper) {
  if (deeper) return [];
  const given = asked.filter((each) => !lacks.includes(each));
  return before.flatMap((entry) => entry.lacks.filter(([, each]) => !given.includes(each)));
}

/** @param {Row} event @param {string} evidence */
function isBrought(event, evidence) {
  const { values } = event;
  if (evidence === PHOTO && event.photos.length > 0) return true;
  if (evidence === HOW && (isSaid(values.how) || isSaid(values.figure))) return true;
  const inside = isRow(values.evidence) ? valueOf(values.evidence, evidence) : null;
  return isSaid(valueOf(values, evidence)) || isSaid(inside);
}
