/**
 * What was written down, in words.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 */

import { nameOf } from "../../ledger/book.js";

/** An action on an object as people say it. @param {JobState} state
 * @param {string | null} action @param {string | null} object */
export function actionWords(state, action, object) {
  const says = state.book.actions.get(action)?.says;
  if (says === undefined) return `${action ?? "something"}: ${nameOf(state.book, object)}`;
  return capital(says.replace("{}", nameOf(state.book, object)));
}

/** @param {string} words */
export const capital = (words) => words.slice(0, 1).toUpperCase() + words.slice(1);

/** An entry of the log in words. @param {JobState} state @param {string} id @returns {string} */
export function writtenAs(state, id) {
  const event = state.taken.get(id) ?? state.event(id);
  return capital(WORDS[event.type]?.(state, event) ?? `${event.type}`);
}

/** @param {Row} values */
function howMany({ count, pieces, stage }) {
  const parts = [];
  if (typeof stage === "number" || stage === "final") parts.push(`pass ${stage}`);
  if (typeof count === "number") parts.push(`${count} of ${count}`);
  else if (Array.isArray(pieces)) parts.push(`number ${pieces.join(", ")}`);
  return parts.length > 0 ? `: ${parts.join(", ")}` : "";
}

/** @param {unknown} value @returns {string} */
const text = (value) => (typeof value === "string" ? value : "");

/** @param {JobState} state @param {Row} event */
const of = (state, event) => nameOf(state.book, event.object);

/** @type {{[type: string]: (state: JobState, event: Row) => string}} */
const WORDS = {
  begin: () => "the job was begun",
  done: (state, event) => actionWords(state, event.action, event.object) + howMany(event.values),
  block: (state, event) => state.pack.blocks?.[event.object]?.says ?? text(event.object),
  trouble: (state, event) => `trouble, ${text(event.values.kind) || event.action}: ${of(state, event)}`,
  stopped: () => "stopped",
  returned: () => "came back and looked again",
  gate: (state, event) => `passed: ${state.book.gates.get(event.action)?.name ?? event.action}`,
  look: (state, event) => `second look: ${of(state, event)}`,
  correct: (state, event) => `${event.values.instead ? "mended" : "taken back"}: ${taken(state, event)}`,
  settle: (state, event) => `settled: ${of(state, event)}`,
  exception: (state, event) => `left as it is, by name: ${text(event.values.reason)}`,
  duty: (state, event) => `duty: ${text(event.values.duty) || of(state, event)}`,
  noted: (state, event) => `noted: ${text(event.values.name) || of(state, event)}`,
  put: (state, event) => `${text(event.values.what) || of(state, event)}: ${text(event.values.how)}`,
  found: (state, event) => `found ${text(event.values.what)}: ${of(state, event)}`,
  measured: (state, event) =>
    `measured: ${text(event.values.what)} ${text(event.values.reading)} ${text(event.values.unit)}`.trim(),
  renewed: (state, event) => `new: ${of(state, event)}, ${text(event.values.part)}`,
  photo: (state, event) => `photo: ${of(state, event)}`,
  rebase: () => "a new plan was taken",
  closed: () => "handed back",
  reopened: () => "opened again",
};

/** @param {JobState} state @param {Row} event */
function taken(state, event) {
  const target = state.history.events.get(event.values.corrects);
  if (target === undefined) return "an entry not here yet";
  return (WORDS[target.type]?.(state, target) ?? target.type).replace(/^(?:taken back|mended): /, "");
}

/** The last entry that may be taken back, and which it is: not begin, nor one taken back.
 * @param {JobState} state @param {string | null} device @returns {string | null} */
export function lastOfDevice(state, device) {
  return state.history.order.findLast((id) => {
    const event = state.event(id);
    return state.taken.has(id) && event.device === device && canTakeBack(event);
  }) ?? null;
}

/** @param {Row} event */
export const canTakeBack = (event) => !["begin", "correct", "rebase"].includes(event.type);
