/**
 * Things noted on a machine that nobody has described: pack and overlay make the model.
 * @typedef {import("./interpreter.js").Row} Row
 */

import { entriesOf, listIn } from "./interpreter.js";
import { textOf, textsOf } from "./said.js";

const PLACE = "noted at the bench";
const KINDS = ["part", "joint", "circuit", "shaft", "lock", "temporary", "make-safe"];
const MOST_PIECES = 400;

/** A pack's objects and demands with what was noted; the pack itself stays as it is.
 * @param {Row} pack @param {Row[]} events
 * @returns {{objects: Map<string, Row>, demands: Map<string, Row[]>}} */
export function withNoted(pack, events) {
  const objects = new Map(entriesOf(pack.objects));
  const demands = new Map(
    entriesOf(pack.tables.demands).map(([bound, rows]) => [bound, [...rows]]),
  );
  for (const { type, object, values } of events) {
    if (type !== "noted" || object === null || objects.has(object)) continue;
    const row = noted(values, object);
    objects.set(object, row);
    bind(demands, object, row);
  }
  return { objects, demands };
}

/** What was noted as it reads now: named later, or mended. A thing that was noted by a slip
 * stays known, untouched; else what was said of it since would be of nothing at all.
 * @param {import("./state.js").History} history @param {Map<string, Row | null>} corrected */
export function described(history, corrected) {
  const written = history.order.map((id) => /** @type {[string, Row]} */ ([id, history.events.get(id)]));
  return written
    .filter(([, event]) => event.type === "noted")
    .map(([id, event]) => corrected.get(id) ?? event);
}

/** @param {Row} values @param {string} object @returns {Row} */
function noted(values, object) {
  const kind = KINDS.includes(values.kind) ? values.kind : "part";
  return {
    ...blankRow(kind, textOf(values.name) ?? object),
    role: textOf(values.role),
    where: textOf(values.place),
    critical: values.critical === true,
    single_use: values.single_use === true,
    angled: values.angled === true,
    surface: textOf(values.surface),
    holds: textsOf(values.holds),
    pieces: kind === "joint" ? pieces(values) : [],
  };
}

/** The row of an object of which nothing is known but its kind and name.
 * @param {string} kind @param {string} name @returns {Row} */
function blankRow(kind, name) {
  return {
    kind, name, role: null, critical: false, where: null, holds: [], parts: [], pieces: [],
    order: null, single_use: false, angled: false, stages: 0, tightness: null, source: null,
    surface: null, no_further_pull: null, sets: null, crushes: [], renew: null, waits: {},
    permit: null,
  };
}

/** @param {Row} values @returns {Row[]} */
function pieces(values) {
  const { count } = values;
  const lengths = textsOf(values.lengths);
  const known = typeof count === "number" && count >= 1 && count <= MOST_PIECES;
  const number = known ? count : Math.max(1, lengths.length);
  return Array.from({ length: number }, (_, index) => ({
    id: String(index + 1),
    length: lengths[index] ?? null,
    thread: textOf(values.thread),
    head: textOf(values.head),
  }));
}

/** Let a noted joint hold its parts, and a noted lock its shafts.
 * @param {Map<string, Row[]>} demands @param {string} object @param {Row} row */
function bind(demands, object, row) {
  /** @param {string} bound @param {string} check @param {string} wanted @param {string} state */
  const add = (bound, check, wanted, state) =>
    listIn(demands, bound).push({
      check, wanted, of: `${object} ${state}`, openings: [[object, state]], by: object,
      place: PLACE, why: "",
    });
  for (const held of row.holds) {
    if (row.kind === "joint") add(`${held} off`, "held", "open", "out");
    else if (row.kind === "lock") add(`turn ${held}`, "turning locked", "shut", "in");
  }
  if (row.kind !== "lock") return;
  add("crank", "running locked", "shut", "in");
  add("start", "running locked", "shut", "in");
}
