/** What counts as said, of values that people's devices send in any shape. */

/** Whether anything was said: not nothing, not no, not an empty text or list.
 * @param {unknown} value @returns {boolean} */
export function isSaid(value) {
  if (value === undefined || value === null || value === false || value === "") return false;
  return typeof value !== "object" || Object.keys(/** @type {object} */ (value)).length > 0;
}

/** Whether it is said and not nought. @param {unknown} value */
export const isGiven = (value) => isSaid(value) && value !== 0;

/** A value as it stands in plain data: null where there is none.
 * @param {{[key: string]: any}} values @param {string} word @returns {any} */
export const valueOf = (values, word) => (Object.hasOwn(values, word) ? values[word] : null);

/** @param {unknown} value @returns {any[]} a list, empty where it is none */
export const listOf = (value) => (Array.isArray(value) ? value : []);

/** The texts of a list. @param {unknown} value @returns {string[]} */
export const textsOf = (value) => listOf(value).filter((each) => typeof each === "string");

/** A value that is a text and says something; other words for one that does not.
 * @param {unknown} value @param {string} otherwise @returns {string} */
export const text = (value, otherwise = "") =>
  typeof value === "string" && value !== "" ? value : otherwise;

/** A text that says something, else null. @param {unknown} value @returns {string | null} */
export const textOf = (value) => text(value) || null;

/** @param {unknown} value @returns {value is {[key: string]: any}} */
export const isRow = (value) =>
  typeof value === "object" && value !== null && !Array.isArray(value);
