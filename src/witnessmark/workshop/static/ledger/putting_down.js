/**
 * Moves put down: into the cells they change, and from there into how things stand.
 *
 * Where an entry's writer had not heard the latest, the move goes from where they knew the thing
 * to stand, and what they did not know of stands beside it.
 *
 * @typedef {import("./book.js").Row} Row
 * @typedef {import("./book.js").Book} Book
 * @typedef {import("./standing.js").Move} Move
 * @typedef {import("./cells.js").Entry} Entry
 * @typedef {import("./state.js").JobState} JobState
 */

import { depthOf, kindOf, listIn, restOf, rowOf } from "./book.js";
import { WHOLE, entryOf, inConflict, leastFinished, readInto, write } from "./cells.js";
import { owed, stillOwed } from "./evidence.js";
import { landsOn, oldAfter, pieceState } from "./standing.js";

/** Milliseconds of a tenth of a minute, in which packs count waits. */
const TENTH_OF_A_MINUTE = 6000;

/** Write moves into the cells, and read the standing again from them.
 * @param {JobState} state @param {string} id @param {Row} event @param {Move[]} moves
 * @param {string[]} lacks */
export function putDown(state, id, event, moves, lacks = []) {
  const { book, history } = state;
  for (const [object, piece, move] of moves) {
    const key = piece ?? WHOLE;
    const known = knownTo(state, id, object, key);
    const target = landing(book, object, known, move);
    if (target === null) continue;
    /** @type {[string, string][]} */
    const owes = object === event.object ? lacks.map((each) => [id, each]) : [];
    const before = state.cell(object, key);
    const deeper = isDeeper(book, object, known, target);
    owes.push(...stillOwed(known, asked(state, event, object), lacks, deeper));
    if (inConflict(known) && event.type !== "settle") dispute(state, object, key, known);
    const entry = entryOf(id, event, target, owes);
    const cell = write(before, entry, history.reaches);
    if (piece !== null) wear(state, object, piece, move);
    mapIn(state.cells, object).set(key, cell);
    keep(listIn(mapIn(state.past, object), key), entry);
    readInto(state.standing, object, key, leastFinished(book, object, cell).state);
    remember(state, id, event, object, target);
  }
}

/** Keep which pieces of a single-use joint were slackened and not out since.
 * @param {JobState} state @param {string} object @param {string} piece @param {string} move */
function wear({ book, standing }, object, piece, move) {
  if (!rowOf(book, object).single_use) return;
  const was = pieceState(book, standing, object, piece);
  const here = landsOn(book, "joint", was, move);
  if (here === null) return;
  standing.old.set(object, oldAfter(book, standing.old.get(object) ?? [], piece, was, here));
}

/** Keep an entry among all that was ever written; of what one event wrote, the last.
 * @param {Entry[]} past @param {Entry} entry */
function keep(past, entry) {
  if (past.length > 0 && past[past.length - 1].event === entry.event) past.pop();
  past.push(entry);
}

/** The entries of a cell as whoever wrote an event knew it, whatever came in since.
 * @param {JobState} state @param {string} id @param {string} object @param {string} key
 * @returns {Entry[]} */
function knownTo(state, id, object, key) {
  const { reaches } = state.history;
  const cell = state.cell(object, key);
  if (cell.every((each) => reaches(each.event, id))) return cell;
  const past = state.past.get(object)?.get(key) ?? [];
  const seen = past.filter((each) => reaches(each.event, id));
  return seen.filter((each) => !seen.some((other) => reaches(each.event, other.event)));
}

/** The state a move takes a thing to, from where its writer knew it to stand.
 * @param {Book} book @param {string} object @param {Entry[]} known @param {string} move */
function landing(book, object, known, move) {
  const kind = kindOf(book, object);
  const here = known.length > 0 ? leastFinished(book, object, known).state : restOf(book, kind);
  return landsOn(book, kind, here, move);
}

/** @template T @param {Map<string, Map<string, T>>} map @param {string} key */
function mapIn(map, key) {
  const found = map.get(key) ?? new Map();
  map.set(key, found);
  return found;
}

/** The evidence an event was asked for an object it acts on.
 * @param {JobState} state @param {Row} event @param {string} object @returns {string[]} */
function asked(state, event, object) {
  const action = state.book.actions.get(event.action);
  if (event.type !== "done" || action === undefined || object !== event.object) return [];
  return owed(state.book, action, /** @type {Row} */ (state.book.objects.get(object)));
}

/** @param {Book} book @param {string} object @param {Entry[]} before @param {string} target */
function isDeeper(book, object, before, target) {
  const kind = kindOf(book, object);
  const there = depthOf(book, kind, target);
  return before.some((each) => there > depthOf(book, kind, each.state));
}

/** Note that somebody went on over a conflict, which does not settle who was right.
 * @param {JobState} state @param {string} object @param {string} piece @param {Entry[]} known */
function dispute(state, object, piece, known) {
  const pieces = state.disputed.get(object) ?? new Map();
  state.disputed.set(object, pieces.set(piece, known.map((each) => each.event)));
}

/** Note what an opening brings for later: that it was opened, and what must wait.
 * @param {JobState} state @param {string} id @param {Row} event @param {string} object
 * @param {string} target */
function remember(state, id, event, object, target) {
  const row = /** @type {Row} */ (state.book.states.get(kindOf(state.book, object))?.get(target));
  const opening = `${object} ${target}`;
  if (row.opening && !state.opened.includes(opening)) state.opened.push(opening);
  const waits = Object.entries(state.book.objects.get(object)?.waits ?? {});
  const strip = waits.find(([opened]) => opened === target)?.[1].strip ?? 0;
  const refit = row.depth === 0 ? Math.max(0, ...waits.map(([, wait]) => wait.refit)) : 0;
  if (!strip && !refit) return;
  const until = event.wall + (strip || refit) * TENTH_OF_A_MINUTE;
  const kept = state.rows.waits.filter((each) => each.object !== object);
  state.rows.waits = [...kept, { event: id, object, until }];
}
