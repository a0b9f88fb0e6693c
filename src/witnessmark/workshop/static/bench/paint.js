/**
 * The accent of a job is the colour of its witness mark; the colour's word always stands beside.
 *
 * @typedef {{[key: string]: any}} Row
 */

/** Paints by their word: bright ones, as they are sold in pens. */
const PAINTS = new Map([
  ["yellow", "#f2c200"], ["white", "#ffffff"], ["red", "#d8322a"], ["orange", "#f08a00"],
  ["green", "#38a34a"], ["blue", "#3b7dd8"], ["pink", "#ef7fb2"], ["violet", "#8d62c9"],
  ["purple", "#8d62c9"], ["silver", "#b9bcc0"], ["black", "#14120f"],
]);

/** Paint the page in the job's colour; without a job or a colour in the bench's own.
 * @param {Row | null} pack */
export function paintAs(pack) {
  const word = pack?.texts?.job_card?.mark?.colour?.toLowerCase() ?? "";
  const colour = [...PAINTS].find(([name]) => word.includes(name))?.[1];
  if (colour) document.documentElement.style.setProperty("--paint", colour);
  else document.documentElement.style.removeProperty("--paint");
}
