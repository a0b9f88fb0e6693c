/**
 * Everything that is still to be done, said or agreed, by name.
 *
 * The list is empty exactly when every object is at rest and proved or taken over by a named
 * duty, and nothing else below is open. Each item has an id that stays the same on every
 * device; an exception names it.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./cells.js").Entry} Entry
 * @typedef {import("./state.js").JobState} JobState
 * @typedef {{id: string, kind: string, object: string | null, pieces: string[], says: string,
 *   since: string | null}} Item
 */

import { WHOLE, inConflict } from "./cells.js";
import { HOW } from "./evidence.js";
import { kindOf, nameOf, pieceState, restOf } from "./interpreter.js";
import { short } from "./litres.js";
import { isRow, text } from "./said.js";

/** What is outstanding, exceptions by name left out. @param {JobState} state @returns {Item[]} */
export function outstanding(state) {
  return everythingOpen(state).filter((item) => !state.excepted.has(item.id));
}

/** What is open and excepted by a named person, with the reason.
 * @param {JobState} state @returns {(Item & Row)[]} */
export function excepted(state) {
  return everythingOpen(state)
    .filter((item) => state.excepted.has(item.id))
    .map((item) => ({ ...item, .../** @type {Row} */ (state.excepted.get(item.id)) }));
}

/** Everything open, whether excepted or not, in a fixed order.
 * @param {JobState} state @returns {Item[]} */
function everythingOpen(state) {
  return [
    ...unread(state), ...notAtRest(state), ...conflicts(state), ...evidence(state),
    ...sources(state), ...photos(state), ...flags(state), ...put(state), ...reports(state),
    ...toRenew(state), ...interruption(state), ...reopenedGates(state), ...toBeSeen(state),
    ...short(state).map(([id, says, since]) => item("litres", id, id, says, since)),
  ];
}

/** @param {string} kind @param {string} id @param {string | null} object @param {string} says
 * @param {string | null} since @param {string[]} pieces @returns {Item} */
const item = (kind, id, object, says, since, pieces = []) => ({
  id: `${kind}:${id}`, kind, object, pieces, says, since,
});

/** What this edition cannot read, and what is missing or stands twice. @param {JobState} state */
function unread({ history }) {
  const says = "something was recorded that this edition does not know";
  return [
    ...history.unknown.map((id) => item("unread", id, null, says, id)),
    ...history.gaps.map(({ device, event }) =>
      item("gap", event, null, `an entry of ${device} has not come in yet`, null)),
    ...history.forks.map(({ device, seq }) =>
      item("fork", `${device}:${seq}`, null, `${device} has two entries with number ${seq}`, null)),
  ];
}

/** @param {JobState} state */
function notAtRest(state) {
  const found = [];
  for (const object of state.touched()) {
    for (const [here, pieces] of awayFromRest(state, object)) {
      if (isTakenOver(state, object, here)) continue;
      const since = state.reading(object, pieces[0])?.event ?? null;
      const named = pieces.filter((piece) => piece !== WHOLE);
      const says = words(state, object, here, pieces);
      found.push(item("open", `${object}:${here}`, object, says, since, named));
    }
  }
  for (const [object, row] of state.strange) {
    if (row.at_rest) continue;
    const says = `${object}, in no pack of this job, is ${row.state}`;
    found.push(item("open", `${object}:${row.state}`, object, says, row.event));
  }
  return found;
}

/** The pieces of an object that are not at rest, by their state.
 * @param {JobState} state @param {string} object @returns {Map<string, string[]>} */
function awayFromRest(state, object) {
  const rest = restOf(state.book, kindOf(state.book, object));
  const byState = new Map();
  for (const piece of state.cells.get(object)?.keys() ?? []) {
    const here = piece === WHOLE
      ? state.state(object) : pieceState(state.book, state.standing, object, piece);
    if (here !== rest) byState.set(here, [...(byState.get(here) ?? []), piece]);
  }
  return byState;
}

/** @param {JobState} state @param {string} object @param {string} here @param {string[]} pieces */
function words(state, object, here, pieces) {
  const row = /** @type {Row} */ (state.book.objects.get(object));
  const stage = String(state.reading(object, pieces[0])?.stage ?? 0);
  const said = state.book.states.get(row.kind)?.get(here)?.says;
  const says = said.split("{k}").join(stage).split("{n}").join(String(row.stages));
  const every = row.pieces.length;
  return every > 1 ? `${row.name}: ${pieces.length} of ${every} ${says}` : `${row.name}: ${says}`;
}

/** Whether the last duty named for an object takes over the state it is in.
 * @param {JobState} state @param {string} object @param {string} here */
function isTakenOver(state, object, here) {
  const last = state.rows.duties.findLast((row) => row.object === object);
  return last !== undefined && last.takes === here;
}

/** @param {JobState} state */
function conflicts(state) {
  return state.conflicts().map(([object, piece]) => {
    const cell = state.cell(object, piece);
    const name = nameOf(state.book, object) + (piece === WHOLE ? "" : ` ${piece}`);
    let told = cell.map((each) => `'${each.state}' by ${each.person}`).join(" and ");
    if (!inConflict(cell)) told = `people did not agree; ${told} since`;
    const named = piece === WHOLE ? [] : [piece];
    const since = cell[cell.length - 1].event;
    return item("conflict", `${object}:${piece}`, object, `${name}: ${told}`, since, named);
  });
}

/** What is owed for what stands, and was neither said nor supplied since.
 * @param {JobState} state */
function evidence(state) {
  return state.touched().flatMap((object) => {
    const entries = [...(state.cells.get(object)?.values() ?? [])].flat();
    const owed = new Map(entries.flatMap((entry) => entry.lacks).map((pair) => [pair.join(" "), pair]));
    return [...owed.values()].flatMap(([event, each]) => lacks(state, object, event, each));
  });
}

/** @param {JobState} state @param {string} object @param {string} event @param {string} evidence */
function lacks(state, object, event, evidence) {
  if (evidence === HOW && isHowKnown(state, object)) return [];
  if (state.supplied.get(event)?.has(evidence)) return [];
  const asks = evidence === HOW ? "How was it tightened?" : state.book.evidence.get(evidence)?.asks;
  const says = `${nameOf(state.book, object)}: ${asks}`;
  return [item("evidence", `${event}:${evidence}`, object, says, event)];
}

/** @param {JobState} state @param {string} object */
function isHowKnown(state, object) {
  const figure = state.figures.get(object);
  return figure !== undefined && [figure.how, figure.figure, figure.source].some((each) => each !== null);
}

/** Critical joints tightened without a maker's figure wait for its source.
 * @param {JobState} state */
function sources(state) {
  const { roles } = state.book.rules;
  const found = [];
  for (const [object, figure] of state.figures) {
    const row = state.book.objects.get(object);
    if (row === undefined || row.tightness !== null || figure.source !== null) continue;
    const table = isRow(figure.figure) && figure.figure.from === "size table";
    const barred = table && !roles.size_table.includes(row.role);
    if (!row.critical && !roles.critical.includes(row.role) && !barred) continue;
    const says = `${row.name}: tightened without a maker's figure; enter the source`;
    found.push(item("figure", object, object, says, figure.event));
  }
  return found;
}

/** @param {JobState} state */
function photos(state) {
  const held = new Set(state.held);
  return [...state.photos]
    .filter(([photo]) => !held.has(photo))
    .map(([photo, event]) =>
      item("missing photo", photo, null, "a photo has not come in yet", event));
}

/** @param {JobState} state */
function flags(state) {
  return state.rows.flags
    .filter((row) => !state.settled.has(row.id) && !state.settled.has(row.event))
    .map((row) => item("flag", row.id.slice("flag:".length), row.object, row.says, row.event));
}

/** Tools, rags, supports and dropped things not counted out again. @param {JobState} state */
function put(state) {
  const found = [];
  for (const [key, row] of state.put) {
    const left = { tool: row.in - row.out, dropped: row.dropped - row.found };
    for (const [kind, number] of Object.entries(left)) {
      if (number <= 0 || state.settled.has(`${kind}:${key}`)) continue;
      const says = `${text(row.what, key)}: ${kind === "tool" ? "still in" : "dropped"}`;
      const counted = number > 1 ? `${says}, ${number}` : says;
      found.push(item(kind, key, null, counted, row.since));
    }
  }
  return found;
}

const REPORTED = [
  ["troubles", "trouble", "kind"],
  ["measured", "measured", "what"],
  ["doubts", "doubt", "step"],
];

/** Trouble, readings out of their limit and doubts, until settled. @param {JobState} state */
function reports(state) {
  return REPORTED.flatMap(([list, kind, word]) =>
    state.rows[list]
      .filter((row) => !state.settled.has(row.event) && isStillOpen(state, kind, row))
      .map((row) => {
        const name = row.object === null ? "the job" : nameOf(state.book, row.object);
        const says = `${name}: ${kind}, ${text(row[word], "not said")}`;
        return item(kind, `${row.event}:${row.object ?? ""}`, row.object, says, row.event);
      }),
  );
}

/** @param {JobState} state @param {string} kind @param {Row} row */
function isStillOpen(state, kind, row) {
  if (kind === "measured") return row.within !== true;
  if (kind !== "doubt") return true;
  return !state.writers(row.object).some((each) => state.history.reaches(row.event, each));
}

/** Gaskets crushed under a pattern that is begun again, until renewed. @param {JobState} state */
function toRenew(state) {
  const seen = new Set();
  const found = [];
  for (const row of state.rows.to_renew) {
    const { object, event } = row;
    if ("renewed" in row || seen.has(object) || state.settled.has(event)) continue;
    seen.add(object);
    const says = `${nameOf(state.book, object)}: crushed already, renew it`;
    found.push(item("renew", object, object, says, event));
  }
  return found;
}

/** @param {JobState} state */
function interruption(state) {
  const found = [];
  for (const { event, again, returned } of state.rows.stops) {
    if (returned === null) {
      found.push(item("interruption", event, null, "stopped, nobody came back", event));
      continue;
    }
    if (state.settled.has(event)) continue;
    for (const step of again) {
      const { object } = state.event(step);
      const says = `${nameOf(state.book, object)}: not looked at again after the stop`;
      found.push(item("interruption", `${event}:${step}`, object, says, event));
    }
  }
  return found;
}

/** What somebody may not do alone, until another person has looked at it by name.
 * @param {JobState} state */
function toBeSeen(state) {
  return state.rows.to_be_seen.filter((row) => row.seen === null).map(({ event, object }) => {
    const says = `${nameOf(state.book, object)}: to be seen by another person before it is covered`;
    return item("to be seen", event, object, says, event);
  });
}

/** Gates passed without knowing of something in their scope, until passed again.
 * @param {JobState} state */
function reopenedGates(state) {
  const found = [];
  for (const row of state.rows.passes) {
    const late = lateEvents(state, row);
    if (late.length === 0 || state.settled.has(row.event)) continue;
    if (isPassedAgain(state, row, late)) continue;
    const says = `${row.name}: passed before ${late.length} later entries were known`;
    found.push(item("gate", row.event, null, says, row.event));
  }
  return found;
}

/** The events in a pass's scope that neither knew of it nor were known to it.
 * @param {JobState} state @param {Row} row @returns {string[]} */
export function lateEvents(state, row) {
  const { order, reaches } = state.history;
  return order.filter(
    (each) =>
      each !== row.event && row.scope.includes(state.event(each).object)
      && !reaches(each, row.event) && !reaches(row.event, each),
  );
}

/** @param {JobState} state @param {Row} row @param {string[]} late */
function isPassedAgain(state, row, late) {
  return state.rows.passes.some(
    (other) =>
      other.gate === row.gate && other.purpose === row.purpose
      && [...late, row.event].every((each) => state.history.reaches(each, other.event)),
  );
}
