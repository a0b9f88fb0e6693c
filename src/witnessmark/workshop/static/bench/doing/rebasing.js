/**
 * A new plan from the workshop: what it changes, in words, and the entry that takes it.
 *
 * @typedef {{[key: string]: any}} Row
 * @typedef {{says: string, lines: string[], pack: string | null}} Offer
 */

/** What the workshop's answer means to the person at the machine.
 * @param {Row} answer @returns {Offer} */
export function offerOf(answer) {
  if (answer.none) return { says: `No plan: ${answer.none}`, lines: answer.causes ?? [], pack: null };
  const { steps, minutes_before: before, minutes_after: after } = answer;
  const minutes = typeof before === "number" && typeof after === "number"
    ? `Left by the plan: ${before} min before, ${after} min now.` : "";
  const told = [
    minutes,
    ...(steps?.new ?? []).map((/** @type {string} */ each) => `new: ${each}`),
    ...(steps?.gone ?? []).map((/** @type {string} */ each) => `not needed: ${each}`),
    ...(answer.more ?? []).map(moreOf),
    ...(answer.assumed ?? []).map((/** @type {string} */ each) => `taken as given: ${each}`),
    answer.proven === false ? "Whether there is a shorter one is not proved yet." : "",
  ];
  const lines = told.filter(Boolean);
  return { says: lines.length > 1 ? "A new plan" : "The plan stays as it is", lines, pack: answer.pack };
}

/** Parts that may be spoilt and minutes, where the machine file says so. @param {Row} row */
function moreOf({ object, trouble, parts, minutes }) {
  const names = (parts ?? []).map((/** @type {Row} */ part) => part.name).join(", ");
  const more = [names ? `may be spoilt: ${names}` : "", minutes ? `${minutes} min more` : ""];
  return `${trouble}, ${object}: ${more.filter(Boolean).join("; ")}`;
}

/** The entry that moves the job to the new pack. @param {Row} answer @returns {Row} */
export const rebaseOf = (answer) => ({ pack: answer.pack, values: { changed: answer.changed ?? [] } });
