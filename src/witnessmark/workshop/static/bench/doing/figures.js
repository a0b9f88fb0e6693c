/** Figures as people type them, read without rounding. */

/** The size of a figure like `1 mm`, `169` or `0.5`; null where none is read.
 * @param {string | null | undefined} text @returns {number | null} */
export function figure(text) {
  const found = /^\s*(-?[0-9]{1,9}(?:[.,][0-9]{1,6})?)/.exec(text ?? "");
  return found ? Number(found[1].replace(",", ".")) : null;
}

/** A typed figure as a decimal string, as entries keep it; null where it is none.
 * @param {string} text @returns {string | null} */
export function decimal(text) {
  const found = /^\s*(-?[0-9]{1,9})(?:[.,]([0-9]{1,6}))?\s*$/.exec(text);
  if (!found) return null;
  return found[2] === undefined ? found[1] : `${found[1]}.${found[2]}`;
}

/** Whether a reading keeps its limits; null when that cannot be told.
 * @param {string} reading @param {string | null} least @param {string | null} most
 * @returns {boolean | null} */
export function within(reading, least, most) {
  const [value, low, high] = [figure(reading), figure(least), figure(most)];
  if (value === null || (low === null && high === null)) return null;
  if ((least !== null && low === null) || (most !== null && high === null)) return null;
  return (low === null || value >= low) && (high === null || value <= high);
}
