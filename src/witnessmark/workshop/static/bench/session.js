/**
 * What is said of a step and not yet written: kept while the page is open, for each job.
 *
 * @typedef {{values: {[word: string]: any}, photos: string[], note: string | null}} Said
 */

export class Session {
  constructor() {
    /** What DONE will say of an object. @type {Map<string, Said>} */
    this.said = new Map();
    /** Pieces chosen one by one. @type {Map<string, string[]>} */
    this.chosen = new Map();
    /** The entries written by the last tap. @type {string[]} */
    this.last = [];
    /** Answers at gates. @type {Map<string, Map<string, string>>} */
    this.answers = new Map();
    /** Steps looked at again after a stop. @type {Map<string, string>} */
    this.stated = new Map();
  }

  /** @param {string | null} object @returns {Said} */
  saidOf(object) {
    const key = object ?? "";
    const found = this.said.get(key) ?? { values: {}, photos: [], note: null };
    this.said.set(key, found);
    return found;
  }

  /** What is answered at a gate and not yet written. @param {string} gate
   * @returns {Map<string, string>} */
  answersOf(gate) {
    const found = this.answers.get(gate) ?? new Map();
    this.answers.set(gate, found);
    return found;
  }

  /** @param {string | null} object */
  forget(object) {
    this.said.delete(object ?? "");
    this.chosen.delete(object ?? "");
  }
}
