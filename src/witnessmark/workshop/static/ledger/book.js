/**
 * The rule book, tables and objects of one machine, indexed for the interpreter.
 *
 * Its look-ups are the twins of `witnessmark.procedure.book`. What is kept by id is in Maps:
 * ids may look like numbers, which plain objects would put in another order.
 *
 * @typedef {import("./canonical.js").Plain} Plain
 * @typedef {{[key: string]: any}} Row a row of the rule book, of a pack or of an event
 * @typedef {{rules: Row, tables: Row, objects: Map<string, Row>,
 *   states: Map<string, Map<string, Row>>, actions: Map<string, Row>, checks: Map<string, Row>,
 *   evidence: Map<string, Row>, gates: Map<string, Row>, demands: Map<string, Row[]>,
 *   ways: Map<string, Map<string, Row>>, restsOn: Map<string, [string, Row][]>}} Book
 */

import { byCodePoint } from "./canonical.js";

/** Tables of packs, sorted once: a pack never changes. @type {WeakMap<Row, [string, any][]>} */
const SORTED = new WeakMap();

/** The entries of a pack's table in the order of canonical bytes.
 * @param {Row} plain @returns {[string, any][]} */
export function entriesOf(plain) {
  const known = SORTED.get(plain);
  if (known !== undefined) return known;
  const found = Object.entries(plain).sort(([left], [right]) => byCodePoint(left, right));
  SORTED.set(plain, found);
  return found;
}

/** @param {Row} plain @returns {Map<string, any>} */
const mapOf = (plain) => new Map(entriesOf(plain));

/** @param {Row[]} rows @returns {Map<string, Row>} */
const byId = (rows) => new Map(rows.map((row) => [row.id, row]));

/**
 * Index the plain rows once: every look-up below is one step.
 * @param {Row} rules
 * @param {Row} tables
 * @param {Map<string, Row>} objects the pack's, and what was noted since
 * @param {Map<string, Row[]>} demands the tables', and those of what was noted
 * @returns {Book}
 */
export function readBook(rules, tables, objects, demands) {
  const book = {
    rules,
    tables,
    objects,
    states: new Map(rules.kinds.map((/** @type {Row} */ kind) => [kind.id, byId(kind.states)])),
    actions: byId(rules.actions),
    checks: byId(rules.checks),
    evidence: byId(rules.evidence),
    gates: byId(rules.gates),
    demands,
    ways: new Map(entriesOf(tables.ways).map(([bound, ways]) => [bound, mapOf(ways)])),
    restsOn: new Map(),
  };
  indexWhatRests(book);
  return book;
}

/** Index lasting demands by each opening they rest on. @param {Book} book */
function indexWhatRests(book) {
  /** @type {[string, Row[]][]} */
  const asked = [...book.demands];
  for (const [bound, ways] of book.ways) asked.push([bound, wayTaken(ways, {})?.refit ?? []]);
  for (const [bound, rows] of asked) {
    for (const row of rows) {
      if (!book.checks.get(row.check)?.lasting || row.wanted !== "open") continue;
      for (const [object, state] of row.openings) {
        listIn(book.restsOn, `${object} ${state}`).push([bound, row]);
      }
    }
  }
}

/** @template T @param {Map<string, T[]>} map @param {string} key @returns {T[]} */
export function listIn(map, key) {
  const found = map.get(key) ?? [];
  map.set(key, found);
  return found;
}

/** The way taken: the one named, else the plan's, else the only one.
 * @param {Map<string, Row>} ways @param {Row} values @returns {Row | null} */
export function wayTaken(ways, values) {
  const named = ways.get(values.way);
  if (named !== undefined) return named;
  const every = [...ways.values()];
  return every.find((way) => way.planned) ?? (every.length === 1 ? every[0] : null);
}

/** @param {Book} book @param {string} object @returns {Row} */
export const rowOf = (book, object) => /** @type {Row} */ (book.objects.get(object));

/** @param {Book} book @param {string} object @returns {string} */
export const kindOf = (book, object) => rowOf(book, object).kind;

/** The name of an object; its id when the pack does not know it.
 * @param {Book} book @param {string | null} object @returns {string} */
export function nameOf(book, object) {
  return object === null ? "the job" : (book.objects.get(object)?.name ?? object);
}

/** @param {Book} book @param {string} kind @returns {Map<string, Row>} its states, rest first */
export const statesOf = (book, kind) => /** @type {Map<string, Row>} */ (book.states.get(kind));

/** @param {Book} book @param {string} kind @returns {string} */
export const restOf = (book, kind) => [...statesOf(book, kind).keys()][0];

/** @param {Book} book @param {string} kind @param {string} state @returns {number} */
export const depthOf = (book, kind, state) => statesOf(book, kind).get(state)?.depth;

/** The ids of an object's pieces in tightening order. @param {Book} book @param {string} object */
export function pieceIds(book, object) {
  const row = rowOf(book, object);
  /** @type {string[]} */
  const ids = row.pieces.map((/** @type {Row} */ piece) => piece.id);
  if (row.order === null) return ids;
  const first = row.order.filter((/** @type {string} */ id) => ids.includes(id));
  return [...first, ...ids.filter((id) => !first.includes(id))];
}

/** Split `object state` at its first space. @param {string} bound @returns {[string, string]} */
export function halves(bound) {
  const at = bound.indexOf(" ");
  return at < 0 ? [bound, ""] : [bound.slice(0, at), bound.slice(at + 1)];
}

/** A plain object's own value. @param {Row} plain @param {string} key @returns {any} */
export const own = (plain, key) => (Object.hasOwn(plain, key) ? plain[key] : undefined);
