/**
 * Litres out against litres in, by circuit: clearly less in than out means trapped air.
 *
 * The twin of `witnessmark.ledger.litres`. Sums are whole millionths of a litre, so that what is
 * compared is what was written. How much less is clearly less stands in the rule book; a pack of
 * older rules says nothing of it.
 *
 * @typedef {import("./state.js").JobState} JobState
 * @typedef {{out: bigint, back: bigint, recorded: {out: boolean, back: boolean},
 *   unread: unknown[], since: string}} Sums
 */

import { depthOf, kindOf, nameOf } from "./book.js";

/** Add up what was said of each circuit; what nobody can read stands under `unread`.
 * @param {JobState} state @returns {Map<string, Sums>} */
export function sums(state) {
  /** @type {Map<string, Sums>} */
  const found = new Map();
  for (const { object, way, litres: said, event } of state.rows.litres) {
    const blank = { out: 0n, back: 0n, recorded: { out: false, back: false }, unread: [] };
    const total = found.get(object) ?? { ...blank, since: event };
    found.set(object, total);
    total.since = event;
    const amount = millionths(said);
    const side = way === "litres out" ? "out" : "back";
    if (amount === null) total.unread.push(said);
    else {
      total[side] += BigInt(amount);
      total.recorded[side] = true;
    }
  }
  return found;
}

/** Circuits that are filled and clearly short: circuit, words, last entry. Only where out and in
 * are both recorded and can be read, and nobody settled it.
 * @param {JobState} state @returns {[string, string, string][]} */
export function short(state) {
  const rule = state.book.rules.litres;
  if (rule === undefined) return [];
  return [...sums(state)]
    .filter(([object, { out, back, recorded, unread, since }]) =>
      unread.length === 0 && recorded.out && recorded.back && !state.settled.has(since)
      && !isEmpty(state, object) && back * BigInt(rule.of) < out * BigInt(rule.back))
    .map(([object, total]) => {
      const missing = litres(total.out - total.back);
      const says = `${nameOf(state.book, object)}: ${inWords(total)}; ${missing} L are missing, `
        + "air is likely trapped: bleed again";
      return [object, says, total.since];
    });
}

/** Whether a circuit stands drained, or deeper: then nothing can be short yet.
 * @param {JobState} state @param {string} object */
function isEmpty(state, object) {
  if (kindOf(state.book, object) !== "circuit") return true;
  const drained = depthOf(state.book, "circuit", "drained");
  return depthOf(state.book, "circuit", state.state(object)) >= drained;
}

/** The sums of a circuit in words. @param {Sums} total */
export const inWords = ({ out, back }) => `${litres(out)} L out, ${litres(back)} L in`;

/** Print millionths of a litre as a decimal of litres. @param {bigint} microlitres */
export function litres(microlitres) {
  const size = microlitres < 0n ? -microlitres : microlitres;
  const part = String(size % 1_000_000n).padStart(6, "0").replace(/0+$/, "");
  return `${microlitres < 0n ? "-" : ""}${size / 1_000_000n}${part ? "." + part : ""}`;
}

/** Read a decimal string as whole millionths; null when it is none, or too long.
 * @param {unknown} text @returns {number | null} */
export function millionths(text) {
  const parts = typeof text === "string" ? /^(-?)([0-9]{1,9})(?:\.([0-9]{0,6}))?$/.exec(text) : null;
  if (parts === null) return null;
  const value = Number(parts[2]) * 1_000_000 + Number((parts[3] ?? "").padEnd(6, "0"));
  return parts[1] === "-" ? 0 - value : value;
}
