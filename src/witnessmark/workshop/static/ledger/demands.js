/**
 * What the tables of a machine demand of openings and acts, and what is not met as things stand.
 *
 * The twin of `witnessmark.procedure.demands`.
 *
 * @typedef {import("./book.js").Row} Row
 * @typedef {import("./book.js").Book} Book
 * @typedef {import("./standing.js").Standing} Standing
 * @typedef {{rule: string, object: string | null, says: string}} Broken
 */

import { halves, kindOf, nameOf, own, statesOf } from "./book.js";
import { asDeep, isOpen, saysState } from "./standing.js";

/** @param {string} rule @param {string | null} object @param {string} says @returns {Broken} */
export const brokenRule = (rule, object, says) => ({ rule, object, says });

/** The demands that are not met as things stand; `skip` is an object not looked at.
 * @param {Book} book @param {Standing} standing @param {Row[]} rows @param {string} event
 * @param {string | null} skip @returns {Broken[]} */
export function unmet(book, standing, rows, event, skip = null) {
  const found = [];
  for (const row of rows) {
    const check = /** @type {Row} */ (book.checks.get(row.check));
    /** @type {[string, string][]} */
    const openings = row.openings;
    if (!check.events.includes(event) || openings.some(([object]) => object === skip)) continue;
    const known = openings.filter(([object]) => book.objects.has(object));
    const opened = known.filter(([object, state]) => isOpen(book, standing, object, state));
    if (opened.length > 0 === (row.wanted === "open")) continue;
    found.push(complaint(book, standing, row, check, opened.length > 0 ? opened : known));
  }
  return found;
}

/** @param {Book} book @param {Standing} standing @param {Row} row @param {Row} check
 * @param {[string, string][]} shown @returns {Broken} */
function complaint(book, standing, row, check, shown) {
  const object = shown.length > 0 ? shown[0][0] : null;
  /** @type {{[place: string]: string}} */
  const words = { other: row.of, wanted: "out of the way", state: "not described" };
  if (object !== null) {
    words.other = nameOf(book, object);
    words.wanted = statesOf(book, kindOf(book, object)).get(shown[0][1])?.says;
    words.state = saysState(book, standing, object);
  }
  words.by = nameOf(book, row.by);
  let says = check.says;
  for (const place of ["other", "wanted", "state", "by"]) {
    says = says.split(`{${place}}`).join(words[place]);
  }
  return brokenRule(row.check, object, says + (row.why ? ` (${row.why})` : ""));
}

/** What is open still and rested on openings of an object that are now closed.
 * @param {Book} book @param {Standing} before @param {Standing} after @param {string} object */
export function stillResting(book, before, after, object) {
  const found = [];
  for (const state of statesOf(book, kindOf(book, object)).keys()) {
    for (const [bound, row] of book.restsOn.get(`${object} ${state}`) ?? []) {
      const [other, depth] = halves(bound);
      if (!book.objects.has(other) || !asDeep(book, after, other, depth)) continue;
      const standsIn = (/** @type {Standing} */ standing) =>
        row.openings.some((/** @type {[string, string]} */ [o, s]) => isOpen(book, standing, o, s));
      if (!standsIn(before) || standsIn(after)) continue;
      const says = `${nameOf(book, other)} is still ${saysState(book, after, other)}`;
      found.push(brokenRule(row.check, other, says));
    }
  }
  return found;
}

/** The shafts that turn with one, itself first; alone once a belt of its is off.
 * @param {Book} book @param {Standing} standing @param {string} shaft @returns {string[]} */
export function shaftsTurned(book, standing, shaft) {
  for (const belt of own(book.tables.belts, shaft) ?? []) {
    const carriers = [...book.objects].filter(([, row]) => row.parts.includes(belt));
    const off = [belt, ...carriers.map(([id]) => id)];
    if (off.some((each) => isOpen(book, standing, each, "moved"))) return [shaft];
  }
  const others = own(book.tables.turns_with, shaft) ?? [shaft];
  return [shaft, ...others.filter((/** @type {string} */ other) => other !== shaft)];
}

/** @param {Book} book @param {Standing} standing @param {string} shaft @param {string | null} skip */
export function turningDemands(book, standing, shaft, skip = null) {
  return shaftsTurned(book, standing, shaft).flatMap((other) => {
    const rows = (book.demands.get(`turn ${other}`) ?? []).filter(
      (row) => other === shaft || row.check !== "turning without bolt",
    );
    return unmet(book, standing, rows, "act", skip);
  });
}
