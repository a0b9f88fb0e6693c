/**
 * The stages of a tightening as the person at the joint reads them.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 */

/** What is done in each stage of a joint: from the card where it says so, else from the figure
 * itself; the words `pass 1`, `pass 2` where nobody told them apart.
 * @param {Row} row an object of the pack @param {Row | null} card @returns {string[]} */
export function stageTexts(row, card) {
  const told = (card?.tightness?.detail ?? "")
    .split("; ")
    .find((/** @type {string} */ each) => each.startsWith("stages "));
  const texts = told ? told.slice("stages ".length).split(", ") : (row.tightness ?? "").split(" + ");
  if (texts.length === row.stages) return texts;
  return Array.from({ length: row.stages }, (_, at) => `pass ${at + 1}`);
}

/** The lines of a tightness that are not its stages. @param {Row} tightness @returns {string[]} */
export const detailLines = (tightness) =>
  (tightness.detail ?? "")
    .split("; ")
    .filter((/** @type {string} */ each) => each !== "" && !each.startsWith("stages "));
