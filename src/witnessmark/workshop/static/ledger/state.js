/**
 * Where a job stands, and the small things every reader of it needs.
 * @typedef {import("./interpreter.js").Book} Book
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./interpreter.js").Standing} Standing
 * @typedef {import("./cells.js").Entry} Entry
 * @typedef {{order: string[], events: Map<string, Row>, forks: Row[], gaps: Row[],
 *   unknown: string[], reaches: (earlier: string, later: string) => boolean}} History
 */

import { byCodePoint } from "./canonical.js";
import { WHOLE, inConflict, leastFinished } from "./cells.js";
import { corrections } from "./correcting.js";
import { atRest, kindOf, readBook, restOf, stateOf } from "./interpreter.js";
import { described, withNoted } from "./overlay.js";

/** Types of event that are steps of the work itself. */
const STEPS = ["done", "block"];

/** Whether an event is a step of the work: a thing noted as it comes off is one too.
 * @param {Row} event */
export const isStep = ({ type, values }) =>
  STEPS.includes(type) || (type === "noted" && (values.state ?? null) !== null);

const LISTS = [
  "flags", "blocks", "troubles", "stops", "doubts", "passes", "looks", "to_be_seen", "found",
  "measured", "renewed", "to_renew", "settings", "pulls", "litres", "waits", "duties", "rebased",
  "closings",
];

/** A job folded up to its last event: `cells` hold what stands of each object and piece,
 * `standing` the same as the interpreter reads it, `rows` lists in the order of events. */
export class JobState {
  /** @param {Row} pack @param {History} history */
  constructor(pack, history) {
    /** The events that read otherwise than written; null for those taken back. */
    this.corrected = corrections(history);
    const { objects, demands } = withNoted(pack, described(history, this.corrected));
    this.pack = pack;
    this.history = history;
    /** @type {Book} */
    this.book = readBook(pack.rules, pack.tables, objects, demands);
    /** The events of conflicts that somebody went on over, by object and piece.
     * @type {Map<string, Map<string, string[]>>} */
    this.disputed = new Map();
    /** The events as they count, corrections read in. @type {Map<string, Row>} */
    this.taken = new Map();
    /** @type {Map<string, Map<string, Entry[]>>} */
    this.cells = new Map();
    /** All that was ever written of each object and piece.
     * @type {Map<string, Map<string, Entry[]>>} */
    this.past = new Map();
    /** @type {Standing} */
    this.standing = atRest();
    /** @type {{[list: string]: Row[]}} */
    this.rows = Object.fromEntries(LISTS.map((list) => [list, []]));
    /** @type {Map<string, Row>} */
    this.put = new Map();
    /** @type {Map<string, Row>} */
    this.figures = new Map();
    /** @type {Map<string, string>} */
    this.photos = new Map();
    /** @type {string[]} */
    this.held = [];
    /** @type {Map<string, Map<string, string>>} */
    this.supplied = new Map();
    /** @type {Map<string, string>} */
    this.settled = new Map();
    /** @type {Map<string, Row>} */
    this.excepted = new Map();
    /** @type {string[]} */
    this.opened = [];
    /** @type {Map<string, Row>} */
    this.strange = new Map();
  }

  /** @param {string} id @returns {Row} an event that is there */
  event(id) {
    return /** @type {Row} */ (this.history.events.get(id));
  }

  /** What stands of an object or piece. @param {string} object @param {string} piece */
  cell(object, piece = WHOLE) {
    return this.cells.get(object)?.get(piece) ?? [];
  }

  /** The events that stand in the cells of an object. @param {string} object @returns {string[]} */
  writers(object) {
    const cells = [...(this.cells.get(object)?.values() ?? [])];
    return [...new Set(cells.flat().map((entry) => entry.event))];
  }

  /** The objects this job has disturbed, in the order of the pack. */
  touched() {
    return [...this.book.objects.keys()].filter((id) => this.cells.has(id));
  }

  /** @param {string} object */
  state(object) {
    return stateOf(this.book, this.standing, object);
  }

  /** @param {string} object */
  atRest(object) {
    return this.state(object) === restOf(this.book, kindOf(this.book, object));
  }

  /** The entry that a cell is read by; null when it was never touched.
   * @param {string} object @param {string} piece */
  reading(object, piece = WHOLE) {
    const cell = this.cell(object, piece);
    return cell.length > 0 ? leastFinished(this.book, object, cell) : null;
  }

  /** The objects and pieces on which people do not agree, and nobody has settled it. What is
   * done later by one who knew of both does not settle in silence who was right. @returns {[string, string][]} */
  conflicts() {
    return this.touched().flatMap((object) =>
      [...(this.cells.get(object) ?? [])]
        .filter(([piece, cell]) => inConflict(cell) || this.isDisputed(object, piece))
        .map(([piece]) => /** @type {[string, string]} */ ([object, piece]))
        .sort(([, left], [, right]) => byCodePoint(left, right)),
    );
  }

  /** @param {string} object @param {string} piece */
  isDisputed(object, piece) {
    return this.disputed.get(object)?.has(piece) ?? false;
  }

  /** Keep a broken rule; each once.
   * @param {string} event @param {string} rule @param {string | null} object @param {string} says */
  flag(event, rule, object, says) {
    const id = `flag:${event}:${rule}:${object ?? ""}`;
    if (this.rows.flags.some((row) => row.id === id)) return;
    this.rows.flags.push({ id, event, rule, object, says });
  }

  /** @param {string} list @param {string} event @param {Row} more */
  add(list, event, more) {
    this.rows[list].push({ event, ...more });
  }

  /** The state as plain data, to be compared and shown. @returns {Row} */
  asData() {
    /** @type {Row} */
    const objects = {};
    for (const [object, cells] of this.cells) {
      const state = this.book.objects.has(object) ? this.state(object) : null;
      objects[object] = { state, cells: Object.fromEntries(cells) };
    }
    const old = [...this.standing.old].filter(([, pieces]) => pieces.length > 0);
    return {
      objects,
      conflicts: this.conflicts(),
      old: Object.fromEntries(old),
      ...this.rows,
      disputed: nested(this.disputed),
      put: Object.fromEntries(this.put),
      figures: Object.fromEntries(this.figures),
      photos: Object.fromEntries(this.photos),
      held: [...this.held].sort(byCodePoint),
      supplied: nested(this.supplied),
      settled: Object.fromEntries(this.settled),
      excepted: Object.fromEntries(this.excepted),
      opened: this.opened,
      strange: Object.fromEntries(this.strange),
    };
  }
}

/** Maps of maps as plain data. @param {Map<string, Map<string, any>>} map */
const nested = (map) =>
  Object.fromEntries([...map].map(([key, inner]) => [key, Object.fromEntries(inner)]));
