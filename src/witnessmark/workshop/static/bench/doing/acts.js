/**
 * What comes next on an object, and the entries that saying DONE writes.
 *
 * A group of fasteners is closed in one act by stage and count. A joint tightened in stages is
 * one act for each stage, and one that is out is run in with the first of them.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {import("./plan.js").Step} Step
 * @typedef {{action: string, values: Row}} Write one entry of type `done`
 * @typedef {{type: string, object: string | null, says: string, count: string,
 *   writes: Write[], pieces: string[], stage: number, stages: number, torque: string | null}} Act
 * @typedef {{values: Row, photos: string[], note: string | null, also: Row[]}} Answers
 */

import { kindOf, pieceIds } from "../../ledger/book.js";
import { pieceState, stateOf } from "../../ledger/standing.js";
import { chainTo } from "./chains.js";
import { stageTexts } from "./stages.js";

/** The stage after which a joint is made, whatever its number. */
export const FINAL = "final";

/** The act that is to be done now for a step of the plan.
 * @param {JobState} state @param {Step} step @param {string[] | null} only pieces chosen
 * @returns {Act} */
export function actOf(state, step, only = null) {
  if (step.kind === "block") return blockAct(state, step.object);
  return actOn(state, /** @type {string} */ (step.action), step.object, { only, card: step.card });
}

/** @param {JobState} state @param {string} object @returns {Act} */
export function blockAct(state, object) {
  const says = state.pack.blocks?.[object]?.says ?? object;
  return {
    type: "block", object, says, count: "", writes: [], pieces: [], stage: 0, stages: 0, torque: null,
  };
}

/** The act that is to be done now so that an action on an object comes about.
 * @param {JobState} state @param {string} actionId @param {string | null} object
 * @param {{only?: string[] | null, card?: Row | null}} more
 * @returns {Act} */
export function actOn(state, actionId, object, { only = null, card = null } = {}) {
  const { book } = state;
  const row = object === null ? undefined : book.objects.get(object);
  const action = book.actions.get(actionId);
  if (row === undefined || action === undefined || object === null) {
    return plain(state, actionId, object, []);
  }
  const pieces = only ?? leftOf(state, object, action);
  if (row.kind === "joint" && row.stages > 1 && action.target === "made" && action.half === "refit") {
    return stageAct(state, action, object, pieces, stageTexts(row, card));
  }
  const here = hereOf(state, object, pieces);
  return plain(state, chainTo(book, row.kind, here, action)[0], object, pieces);
}

/** The state of what an act is about: of the pieces chosen, else of the whole object.
 * @param {JobState} state @param {string} object @param {string[]} pieces */
function hereOf(state, object, pieces) {
  if (pieces.length === 0) return stateOf(state.book, state.standing, object);
  const states = pieces.map((piece) => pieceState(state.book, state.standing, object, piece));
  return states.every((each) => each === states[0]) ? states[0] : state.state(object);
}

/** The pieces of a joint that an action has still to bring about: all that do not stand there.
 * @param {JobState} state @param {string} object @param {Row} action @returns {string[]} */
function leftOf(state, object, action) {
  const { book, standing } = state;
  if (kindOf(book, object) !== "joint") return [];
  const every = pieceIds(book, object);
  const left = every.filter((piece) => pieceState(book, standing, object, piece) !== action.target);
  return left.length > 0 ? left : every;
}

/** @param {JobState} state @param {string} actionId @param {string | null} object
 * @param {string[]} pieces @returns {Act} */
function plain(state, actionId, object, pieces) {
  return {
    type: "done", object, says: "", count: countOf(state, object, pieces), pieces,
    writes: [{ action: actionId, values: { ...said(state, object, pieces), ...stageOf(state, actionId) } }],
    stage: 0, stages: 0, torque: null,
  };
}

/** A joint tightened in one go is at its final stage. @param {JobState} state
 * @param {string} actionId @returns {Row} */
function stageOf(state, actionId) {
  const action = state.book.actions.get(actionId);
  const asked = [...(action?.evidence ?? []), ...(action?.critical_evidence ?? [])];
  return action?.target === "made" && asked.includes("stage") ? { stage: FINAL } : {};
}

/** One stage of a tightening; fasteners that are out are run in with the first.
 * @param {JobState} state @param {Row} action @param {string} object @param {string[]} pieces
 * @param {string[]} texts @returns {Act} */
function stageAct(state, action, object, pieces, texts) {
  const { book } = state;
  const here = hereOf(state, object, pieces);
  const reading = state.reading(object, pieces[0] ?? "");
  const before = here === "part-tightened" ? (reading?.stage ?? 0) : 0;
  const stage = Math.min(before + 1, texts.length);
  const last = stage === texts.length;
  const done = /** @type {Row} */ (
    book.actions.get(last ? "tighten" : "tighten-a-stage") ?? action
  );
  const chain = chainTo(book, "joint", here, done);
  const values = said(state, object, pieces);
  const writes = chain.map((each) => ({
    action: each,
    values: each === done.id ? { ...values, stage: last ? FINAL : stage } : values,
  }));
  // What must be begun again is slackened first, as an act of its own.
  const now = chain[0] === "begin-again" ? writes.slice(0, 1) : writes;
  const count = countOf(state, object, pieces);
  const isTightening = now.length === writes.length;
  return {
    type: "done", object, pieces, writes: now, count, stage: isTightening ? stage : 0,
    says: isTightening ? `pass ${stage} of ${texts.length}` : "slacken all in order, begin again",
    stages: texts.length, torque: isTightening ? texts[stage - 1] : null,
  };
}

/** How many of how many: `16 of 16`; nothing for a single one.
 * @param {JobState} state @param {string | null} object @param {string[]} pieces */
function countOf(state, object, pieces) {
  const every = object === null ? 0 : (state.book.objects.get(object)?.pieces.length ?? 0);
  return every > 1 ? `${pieces.length} of ${every}` : "";
}

/** What an entry says of the pieces: a count of all of them, or which.
 * @param {JobState} state @param {string | null} object @param {string[]} pieces @returns {Row} */
function said(state, object, pieces) {
  const every = object === null ? 0 : (state.book.objects.get(object)?.pieces.length ?? 0);
  if (every <= 1) return {};
  return pieces.length === every ? { count: every } : { pieces };
}

/** What is said of several entries stands in the one that asks it; the rest in the last.
 * @param {Act} act @param {(action: string) => string[]} asked evidence by action
 * @param {Answers} answers
 * @returns {{type: string, fields: Row}[]} */
export function entriesFor(act, asked, answers) {
  const { values, photos, note, also } = answers;
  const last = act.writes.length - 1;
  /** @param {string} word @param {number} at */
  const belongs = (word, at) => {
    const first = act.writes.findIndex((each) => asked(each.action).includes(word));
    return first < 0 ? at === last : at === first;
  };
  const done = act.writes.map(({ action, values: own }, at) => ({
    type: "done",
    fields: {
      action,
      object: act.object,
      values: { ...Object.fromEntries(Object.entries(values).filter(([word]) => belongs(word, at))), ...own },
      photos: at === last ? photos : [],
      note: at === last ? note : null,
    },
  }));
  const block = { type: "block", fields: { object: act.object, values, photos, note } };
  const beside = also.map(({ type, ...fields }) => ({ type, fields }));
  return [...beside, ...(act.type === "block" ? [block] : done)];
}
