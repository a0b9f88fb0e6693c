/**
 * What people say beside the steps: trouble, things put in, readings, looks, exceptions.
 *
 * Each is taken as it is said. What cannot count is kept and flagged with its reason.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./interpreter.js").Move} Move
 * @typedef {import("./state.js").JobState} JobState
 */

import { byCodePoint } from "./canonical.js";
import { chosenPieces, kindOf, nameOf, pieceIds } from "./interpreter.js";
import { millionths } from "./litres.js";
import { isGiven, listOf, text, textsOf, valueOf } from "./said.js";

const PUT = ["in", "out", "dropped", "found"];

/** Milliseconds after which a second look by the same person counts as later (our figure). */
const LATER = 600_000;

/** @param {Row} values @param {string[]} words @returns {Row} */
const told = (values, words) => Object.fromEntries(words.map((word) => [word, valueOf(values, word)]));

/** @param {JobState} state @param {string} id @param {Row} event */
function trouble(state, id, { action, object, values }) {
  state.add("troubles", id, { object, kind: text(values.kind, action ?? "not said") });
}

/** Count tools, rags, supports, workshop bolts and caps in and out, dropped and found: two rags
 * in and one out leave one. Counts do not ask who came first.
 * @param {JobState} state @param {string} id @param {Row} event */
function put(state, id, { object, values }) {
  const { how } = values;
  if (!PUT.includes(how)) {
    state.flag(id, "put", object, "say in, out, dropped or found");
    return;
  }
  const key = object || text(values.what, "something");
  const nought = Object.fromEntries(PUT.map((each) => [each, 0]));
  const row = state.put.get(key) ?? { ...told(values, ["what", "kind"]), since: id, ...nought };
  state.put.set(key, row);
  row[how] += 1;
  if (how === "in" || how === "dropped") row.since = id;
}

/** Note what was found wrong, so that refit goes to right and not to as-found.
 * @param {JobState} state @param {string} id @param {Row} event */
function found(state, id, { object, values }) {
  const pieces = textsOf([...listOf(values.pieces), values.piece]);
  state.add("found", id, { object, pieces, what: text(values.what, "not said"), right: null });
}

/** Take a reading; within its limits, beyond them, or as the person says.
 * @param {JobState} state @param {string} id @param {Row} event */
function measured(state, id, { object, values }) {
  const words = told(values, ["what", "reading", "unit"]);
  state.add("measured", id, { object, ...words, within: within(values) });
}

/** Whether a reading keeps its limits; null when nobody can tell.
 * @param {Row} values @returns {boolean | null} */
function within(values) {
  const reading = millionths(values.reading);
  const [low, high] = [valueOf(values, "at_least"), valueOf(values, "at_most")];
  if (reading === null || (low === null && high === null)) {
    return typeof values.within === "boolean" ? values.within : null;
  }
  const [least, most] = [millionths(low), millionths(high)];
  if ((low !== null && least === null) || (high !== null && most === null)) return null;
  return (least === null || reading >= least) && (most === null || reading <= most);
}

/** Note a new part with its line; it puts right what was found wrong of the old one.
 * @param {JobState} state @param {string} id @param {Row} event */
function renewed(state, id, { object, values }) {
  const part = valueOf(values, "part");
  if (!isGiven(part)) {
    state.flag(id, "renewed", object, "say which part line it was taken from");
    return;
  }
  state.add("renewed", id, { object, part });
  for (const [list, field] of [["found", "right"], ["to_renew", "renewed"]]) {
    for (const row of state.rows[list]) {
      if (row.object === object && state.history.reaches(row.event, id)) row[field] = id;
    }
  }
}

/** Note that photos came in, or that one is given for an earlier event's evidence.
 * @param {JobState} state @param {string} id @param {Row} event */
function photo(state, id, { values, photos }) {
  state.held = [...new Set([...state.held, ...textsOf(values.arrived)])].sort(byCodePoint);
  const target = text(values.for);
  const { evidence } = values;
  if (!state.history.events.has(target) || typeof evidence !== "string" || !photos.length) return;
  const supplied = state.supplied.get(target) ?? new Map();
  state.supplied.set(target, supplied.set(evidence, id));
}

/** Take a second look: it names what was seen. Alone it is later, and with a photo.
 * `looked_at` names what was seen in words, or lists the events looked at.
 * @param {JobState} state @param {string} id @param {Row} event */
function look(state, id, { object, values, photos, person, clock }) {
  const { history } = state;
  const named = valueOf(values, "looked_at");
  if (!isGiven(named)) {
    state.flag(id, "look", object, "a second look names what was seen");
    return;
  }
  let of = textsOf(named).filter((each) => history.events.has(each));
  if (of.length === 0 && state.cells.has(object)) {
    of = state.writers(object).filter((each) => history.reaches(each, id));
  }
  const alone = of.filter((each) => state.event(each).person === person);
  const later = alone.every((each) => clock[0] - state.event(each).clock[0] >= LATER);
  if (alone.length > 0 && !(photos.length > 0 && later)) {
    state.flag(id, "look", object, "alone, a second look is later and has a photo");
  }
  const reads = alone.length > 0 ? "same person" : "second person";
  const saw = typeof named === "string" ? named : null;
  state.add("looks", id, { object, of, saw, reads, person });
  seen(state, id, person, textsOf(named));
}

/** Take as seen what another person's look names of what must be seen by another.
 * @param {JobState} state @param {string} id @param {string} person @param {string[]} named */
function seen(state, id, person, named) {
  for (const row of state.rows.to_be_seen) {
    const isTheirs = row.person !== person && named.includes(row.event);
    if (isTheirs && state.history.reaches(row.event, id)) row.seen = id;
  }
}

/** Except outstanding items, by name and with a reason that every paper prints.
 * @param {JobState} state @param {string} id @param {Row} event */
function exception(state, id, { object, values, person }) {
  const { items } = values;
  const reason = valueOf(values, "reason");
  if (!Array.isArray(items) || !isGiven(reason) || !person) {
    state.flag(id, "exception", object, "an exception has a person and a reason");
    return;
  }
  for (const item of textsOf(items)) {
    if (isLockIn(state, item)) {
      const says = "a lock that is in is no exception: take it out and record it";
      state.flag(id, "exception", object, says);
    } else {
      state.excepted.set(item, { event: id, person, reason });
    }
  }
}

/** @param {JobState} state @param {string} item */
function isLockIn(state, item) {
  const words = item.split(":");
  const row = words.length > 1 ? state.book.objects.get(words[1]) : undefined;
  return row?.kind === "lock" && ["open", "conflict"].includes(words[0]);
}

/** Let a named duty take an object over, where its state may outlive the visit.
 * @param {JobState} state @param {string} id @param {Row} event */
function duty(state, id, { object, values }) {
  const words = told(values, ["duty", "limit", "person", "done"]);
  if (!isGiven(words.limit) || !isGiven(words.person)) {
    state.flag(id, "duty", object, "a duty has a limit and a person");
    return;
  }
  let takes = null;
  if (state.book.objects.has(object)) {
    const here = state.state(object);
    const row = state.book.states.get(kindOf(state.book, object))?.get(here);
    takes = row?.may_outlive ? here : null;
    if (takes === null && !state.atRest(object)) {
      const says = `${nameOf(state.book, object)} is ${row?.says}: no duty can take that over`;
      state.flag(id, "duty", object, says);
    }
  }
  state.add("duties", id, { object, takes, may_leave: values.may_leave === true, ...words });
}

/** Take what is told of an object: how it stands, its figure and source, how it was done.
 * Gives the moves to the state in which a thing nobody had described was found.
 * @param {JobState} state @param {string} id @param {Row} event @returns {Move[]} */
function noted(state, id, { object, values }) {
  if (object === null) {
    state.flag(id, "noted", null, "what is noted has an id");
    return [];
  }
  const figure = isGiven(values.figure) ? values.figure : valueOf(values, "tightness");
  /** @type {Row} */
  const now = { ...told(values, ["how", "source"]), figure };
  if (Object.values(now).some((each) => each !== null)) {
    const known = state.figures.get(object) ?? { how: null, figure: null, source: null };
    for (const word of Object.keys(now)) now[word] ??= known[word];
    const prints = [now.source, known.prints].find(isGiven) ?? "no maker's figure";
    state.figures.set(object, { event: id, ...now, prints });
  }
  const stands = valueOf(values, "state");
  return stands === null ? [] : toState(state, id, object, stands, values);
}

/** The moves that put an object, or the pieces named, into a state.
 * @param {JobState} state @param {string} id @param {string} object @param {any} stands
 * @param {Row} values @returns {Move[]} */
function toState(state, id, object, stands, values) {
  const { kind } = /** @type {Row} */ (state.book.objects.get(object));
  if (!state.book.states.get(kind)?.has(stands)) {
    state.flag(id, "state", object, `a ${kind} is never '${text(stands)}'`);
    return [];
  }
  if (pieceIds(state.book, object).length === 0) return [[object, null, stands]];
  const [pieces] = chosenPieces(state.book, object, { pieces: values.pieces });
  return pieces.map((piece) => [object, piece, stands]);
}

/** Settle flags and conflicts by a person; gives the moves to the state that stands.
 * @param {JobState} state @param {string} id @param {Row} event @returns {Move[]} */
function settle(state, id, { object, values }) {
  for (const each of textsOf(values.settles)) {
    if (!state.settled.has(each)) state.settled.set(each, id);
    undispute(state, each);
  }
  const stands = valueOf(values, "stands");
  if (stands !== null) state.disputed.delete(object);
  if (stands === null || !state.book.objects.has(object)) return [];
  return toState(state, id, object, stands, values);
}

/** Take an event named by a settlement out of every dispute.
 * @param {JobState} state @param {string} event */
function undispute(state, event) {
  for (const [object, pieces] of state.disputed) {
    const left = [...pieces].filter(([, events]) => !events.includes(event));
    if (left.length > 0) state.disputed.set(object, new Map(left));
    else state.disputed.delete(object);
  }
}

/** @param {JobState} state @param {string} id @param {Row} event */
function rebase(state, id, { pack, values }) {
  state.add("rebased", id, { pack, changed: valueOf(values, "changed") });
}

/** @param {JobState} state @param {string} id @param {Row} event */
function reopened(state, id, { person }) {
  state.add("closings", id, { what: "reopened", person });
}

/** What takes each type; some give moves. @type {Map<string, (state: JobState, id: string,
 * event: Row) => Move[] | void>} */
export const STATEMENTS = new Map(
  Object.entries({
    trouble, put, found, measured, renewed, photo, look, exception, duty, noted, settle, rebase,
    reopened,
  }),
);
