/**
 * What an act is asked, and what can be answered in one tap.
 *
 * What is owed is asked after DONE, one thing at a time; what would only be good to know stands
 * on the step and may be left.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {import("./acts.js").Act} Act
 * @typedef {{word: string, says: string, owed: boolean, how: string, choices: string[],
 *   unit: string | null, limits: Row | null, lines: string[]}} Ask
 *   `how`: choose (or say otherwise), photo, number, setting or yes (one answer that counts)
 */

import { HOW, owed } from "../../ledger/evidence.js";
import { choicesFor } from "./choices.js";

const PHOTO = "photo of the marks";
const NUMBERS = ["litres in", "litres out"];
const TABLES = ["how tightened"];

/** The evidence an action on an object may bring, owed first.
 * @param {JobState} state @param {string} actionId @param {string | null} object
 * @returns {{word: string, owed: boolean}[]} */
export function evidenceOf(state, actionId, object) {
  const action = state.book.actions.get(actionId);
  const row = object === null ? undefined : state.book.objects.get(object);
  if (action === undefined || row === undefined || row.kind !== action.kind) return [];
  const must = owed(state.book, action, row);
  const may = [
    ...action.evidence,
    ...(row.critical ? action.critical_evidence : []),
    ...(row.sets !== null ? [...action.setting_evidence, ...asFound(action)] : []),
  ];
  return [
    ...must.map((word) => ({ word, owed: true })),
    ...may.filter((word) => !must.includes(word)).map((word) => ({ word, owed: false })),
  ];
}

/** How a tensioner was found is asked when it is slackened. @param {Row} action */
const asFound = (action) => (action.half === "strip" ? ["setting as found"] : []);

/** The words of evidence that an action asks, for handing answers to the right entry.
 * @param {JobState} state @param {string | null} object @returns {(action: string) => string[]} */
export const askedBy = (state, object) => (action) =>
  evidenceOf(state, action, object).map((each) => each.word);

/** Everything an act asks. The stage is known from the act and not asked.
 * @param {JobState} state @param {Act} act @param {Row | null} card @returns {Ask[]} */
export function asksOf(state, act, card) {
  if (act.type === "block") return blockAsks(state, act);
  /** @type {Map<string, Ask>} */
  const found = new Map();
  for (const { action } of act.writes) {
    for (const { word, owed: must } of evidenceOf(state, action, act.object)) {
      if (word === "stage" || found.get(word)?.owed) continue;
      found.set(word, ask(state, act, word, must, card));
    }
  }
  for (const each of beside(state, act)) {
    if (!found.has(each)) found.set(each, ask(state, act, each, false, card));
  }
  return [...found.values()];
}

/** What is worth saying though no rule asks it: the wrench of a torque, a part that is new.
 * @param {JobState} state @param {Act} act @returns {string[]} */
function beside(state, act) {
  const row = act.object === null ? undefined : state.book.objects.get(act.object);
  const last = state.book.actions.get(act.writes[act.writes.length - 1]?.action);
  if (row === undefined || last?.half !== "refit") return [];
  const torque = /N·m|lbf|kgf/.test(row.tightness ?? "");
  if (row.kind === "joint" && torque && last.target !== "finger-tight") return ["wrench"];
  return ["part", "assembly"].includes(row.kind) && last.target === "fitted" ? ["new part"] : [];
}

/** @param {JobState} state @param {Act} act @param {string} word @param {boolean} must
 * @param {Row | null} card @returns {Ask} */
function ask(state, act, word, must, card) {
  const says = word === HOW
    ? "How was it tightened? The maker's figure is not known"
    : (state.book.evidence.get(word)?.asks ?? OTHERWISE[word] ?? word);
  return {
    word, says, owed: must, how: howAsked(word), choices: choicesFor(state, act, word, card),
    unit: NUMBERS.includes(word) ? "L" : null, limits: null,
    lines: word === "setting" ? settingLines(card) : [],
  };
}

/** How often and how a tensioner is set, as the card has it. @param {Row | null} card
 * @returns {string[]} */
const settingLines = (card) =>
  (card?.drive ?? []).filter((/** @type {string} */ line) => /^[0-9]+\. /.test(line));

/** @type {{[word: string]: string}} */
const OTHERWISE = { "new part": "Is it a new one?" };

/** @param {string} word */
function howAsked(word) {
  if (word === PHOTO) return "photo";
  if (word === "setting") return "setting";
  if (NUMBERS.includes(word)) return "number";
  return TABLES.includes(word) ? "figure" : "choose";
}

/** A work's own step asks its reading. @param {JobState} state @param {Act} act @returns {Ask[]} */
function blockAsks(state, act) {
  const measure = state.pack.blocks?.[act.object ?? ""]?.measure ?? null;
  if (measure === null) return [];
  return [{
    word: "reading", says: `What does it read: ${measure.what}?`, owed: true, how: "number",
    choices: [], unit: unitOf(measure), limits: measure, lines: [],
  }];
}

/** @param {Row} measure @returns {string | null} */
const unitOf = (measure) =>
  /[0-9]\s*([^0-9\s.]+)$/.exec(measure.at_most ?? measure.at_least ?? "")?.[1] ?? null;
