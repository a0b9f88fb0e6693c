/**
 * From events to the state of a job: every fact is taken, whatever rule it breaks.
 *
 * A fact that breaks a rule is kept and flagged. Corrections come first: an event corrected
 * away is passed over, one corrected in part is read as corrected. Then every event is taken
 * in an order in which causes come before effects.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./interpreter.js").Move} Move
 * @typedef {import("./interpreter.js").Book} Book
 * @typedef {import("./cells.js").Entry} Entry
 * @typedef {import("./state.js").History} History
 */

import { WHOLE, entryOf, inConflict, leastFinished, readInto, write } from "./cells.js";
import { lacking, owed, stillOwed } from "./evidence.js";
import {
  LOST, act, actTo, depthOf, kindOf, landsOn, listIn, moved, nameOf, pieceState,
  restOf,
} from "./interpreter.js";
import { returned, stopped, workedOn } from "./interruption.js";
import { closed, gatePassed } from "./passing.js";
import { isRow, valueOf } from "./said.js";
import { JobState } from "./state.js";
import { STATEMENTS } from "./statements.js";

const MINUTE_TENTH = 6000;

/**
 * Fold a job's events over its pack.
 * @param {Row} pack
 * @param {History} history the events with their order and causes
 * @param {Iterable<string>} held hashes of the photos at hand
 * @returns {JobState}
 */
export function fold(pack, history, held = []) {
  const state = new JobState(pack, history);
  state.held = [...held].sort();
  const { corrected } = state;
  const unknown = new Set(history.unknown);
  for (const id of history.order) {
    if (unknown.has(id)) continue;
    const event = corrected.has(id) ? corrected.get(id) : state.event(id);
    if (event !== null && event !== undefined) take(state, id, event);
  }
  return state;
}

/** @param {JobState} state @param {string} id @param {Row} event */
function take(state, id, event) {
  state.taken.set(id, event);
  for (const photo of event.photos) if (!state.photos.has(photo)) state.photos.set(photo, id);
  switch (event.type) {
    case "done":
      workedOn(state, id, event);
      return done(state, id, event);
    case "block":
      workedOn(state, id, event);
      return block(state, id, event);
    case "stopped":
      return stopped(state, id, event);
    case "returned":
      return putDown(state, id, event, returned(state, id, event));
    case "gate":
      return gatePassed(state, id, event);
    case "closed":
      return closed(state, id, event);
    default:
      return putDown(state, id, event, STATEMENTS.get(event.type)?.(state, id, event) ?? []);
  }
}

/** Take one action of the rule book as done.
 * @param {JobState} state @param {string} id @param {Row} event */
function done(state, id, event) {
  const { book } = state;
  const { object } = event;
  const outcome = act(book, state.standing, event.action ?? "", object, event.values);
  const beside = object !== null && hasBeside(state, id, object);
  for (const broken of outcome.broken) {
    if (broken.rule === "state" && beside) continue;
    state.flag(id, broken.rule, broken.object, broken.says);
  }
  const action = book.actions.get(event.action);
  if (action === undefined) return;
  const row = object === null ? undefined : book.objects.get(object);
  if (row === undefined && object !== null) strange(state, id, object, action);
  if (row === undefined && action.kind !== "machine") return;
  if (row === undefined || row.kind !== action.kind) return;
  putDown(state, id, event, outcome.moves, lacking(book, action, row, event));
  saidBeside(state, id, event, action, row);
}

/** Whether somebody wrote on an object without either knowing of the other.
 * @param {JobState} state @param {string} id @param {string} object */
const hasBeside = (state, id, object) =>
  state.writers(object).some((each) => !state.history.reaches(each, id));

/** Keep the state of an object that is in no pack: of an older one, or a slip of the hand.
 * @param {JobState} state @param {string} id @param {string} object @param {Row} action */
function strange(state, id, object, action) {
  if (action.kind === "machine") return;
  const { kind, target } = action;
  const at_rest = target === restOf(state.book, kind);
  state.strange.set(object, { event: id, kind, state: target, at_rest });
}

/** Write moves into the cells, and read the standing again from them.
 * @param {JobState} state @param {string} id @param {Row} event @param {Move[]} moves
 * @param {string[]} lacks */
function putDown(state, id, event, moves, lacks = []) {
  if (moves.length === 0) return;
  const { book, history } = state;
  state.standing = moved(book, state.standing, moves);
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
    mapIn(state.cells, object).set(key, cell);
    listIn(mapIn(state.past, object), key).push(entry);
    readInto(state.standing, object, key, leastFinished(book, object, cell).state);
    remember(state, id, event, object, target);
  }
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
  const until = event.wall + (strip || refit) * MINUTE_TENTH;
  const kept = state.rows.waits.filter((each) => each.object !== object);
  state.rows.waits = [...kept, { event: id, object, until }];
}

/** Keep what an action says for the registers: settings, litres, figures, crushed gaskets.
 * @param {JobState} state @param {string} id @param {Row} event @param {Row} action @param {Row} row */
function saidBeside(state, id, event, action, row) {
  const { values, object } = event;
  const says = (/** @type {string} */ word) => Object.hasOwn(values, word);
  for (const [word, how] of [["setting as found", "found at"], ["setting", "set to"]]) {
    if (says(word)) state.add("settings", id, { object, how, setting: values[word] });
  }
  if (action.id === "pull-again") state.add("pulls", id, { object, says: "not below" });
  for (const way of ["litres out", "litres in"]) {
    if (says(way)) state.add("litres", id, { object, way, litres: values[way] });
  }
  if (action.target === "unknown") {
    for (const part of row.crushes) state.add("to_renew", id, { object: part, because: object });
  }
  if (row.kind === "joint" && action.target === "made" && row.tightness === null) {
    figure(state, id, event, row);
  }
}

/** Keep how a joint without a maker's figure was tightened, and what papers print of it.
 * @param {JobState} state @param {string} id @param {Row} event @param {Row} row */
function figure(state, id, event, row) {
  const { object, values } = event;
  const told = valueOf(values, "figure");
  const source = state.figures.get(object)?.source ?? null;
  let prints = "no maker's figure";
  if (isRow(told) && told.from === "size table") {
    prints = "size table, not the maker's";
    const allowed = state.book.rules.roles.size_table.includes(row.role) && !row.critical;
    if (!allowed || !event.person) {
      const name = nameOf(state.book, object);
      const says = `${name}: a size table serves a bracket or a cover only`;
      state.flag(id, "size table", object, says);
    }
  }
  state.figures.set(object, {
    event: id,
    how: valueOf(values, "how"),
    figure: isRow(told) ? told : null,
    source,
    prints: source ?? prints,
  });
}

/** Take a work's own step as done: its acts one after the other, left as it found things.
 * @param {JobState} state @param {string} id @param {Row} event */
function block(state, id, event) {
  const { object, values } = event;
  const row = object === null ? null : valueOf(state.pack.blocks, object);
  state.add("blocks", id, { object });
  if (row === null) {
    state.flag(id, "block", object, "no work has such a step");
    return;
  }
  let { standing } = state;
  /** @type {Move[]} */
  const moves = [];
  for (const each of row.acts) {
    const outcome = actTo(state.book, standing, each);
    for (const broken of outcome.broken) state.flag(id, broken.rule, broken.object, broken.says);
    moves.push(...outcome.moves);
    standing = moved(state.book, standing, outcome.moves);
  }
  putDown(state, id, event, lasting(state, moves));
  if (row.measure === null) return;
  const reading = valueOf(values, "reading");
  const within = valueOf(values, "within");
  state.add("measured", id, { object, what: row.measure.what, reading, within });
}

/** What a step leaves otherwise than it found it, and every proof it undid.
 * @param {JobState} state @param {Move[]} moves @returns {Move[]} */
function lasting(state, moves) {
  /** @type {Map<string, Move>} */
  const last = new Map();
  for (const move of moves) last.set(JSON.stringify([move[0], move[1]]), move);
  return [...last.values()].filter(
    ([object, piece, target]) => target === LOST || target !== standsAt(state, object, piece),
  );
}

/** @param {JobState} state @param {string} object @param {string | null} piece */
function standsAt(state, object, piece) {
  if (piece === null) return state.state(object);
  return pieceState(state.book, state.standing, object, piece);
}
