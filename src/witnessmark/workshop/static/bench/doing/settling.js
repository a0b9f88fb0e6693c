/**
 * Conflicts and flags: what a person may settle, and how.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{object: string, pieces: string[], says: string,
 *   sides: {state: string, says: string, events: string[]}[], events: string[]}} Dispute
 */

import { nameOf, kindOf } from "../../ledger/book.js";
import { outstanding } from "../../ledger/outstanding.js";
import { writtenAs } from "./words.js";

/** Each object on which people do not agree, with what each side says. Pieces in the same two
 * states are settled together. @param {JobState} state @returns {Dispute[]} */
export function disputes(state) {
  /** @type {Map<string, Dispute>} */
  const found = new Map();
  for (const [object, piece] of state.conflicts()) {
    const cell = state.cell(object, piece);
    const disputed = state.disputed.get(object)?.get(piece) ?? [];
    const events = [...new Set([...cell.map((each) => each.event), ...disputed])];
    const key = [object, ...events].join(" ");
    const dispute = found.get(key) ?? {
      object, pieces: [], says: nameOf(state.book, object), events,
      sides: sidesOf(state, object, piece, events),
    };
    if (piece !== "") dispute.pieces.push(piece);
    found.set(key, dispute);
  }
  return [...found.values()];
}

/** @param {JobState} state @param {string} object @param {string} piece @param {string[]} events */
function sidesOf(state, object, piece, events) {
  const past = state.past.get(object)?.get(piece) ?? [];
  /** @type {Map<string, string[]>} */
  const by = new Map();
  for (const entry of past.filter((each) => events.includes(each.event))) {
    by.set(entry.state, [...(by.get(entry.state) ?? []), entry.event]);
  }
  const states = state.book.states.get(kindOf(state.book, object));
  return [...by].map(([here, ids]) => ({
    state: here, events: ids,
    says: `${states?.get(here)?.says.replace(/,? ?\{.*$/, "") ?? here}: ${ids.map((id) => told(state, id)).join("; ")}`,
  }));
}

/** @param {JobState} state @param {string} id */
const told = (state, id) => `${state.event(id).person}: ${writtenAs(state, id)}`;

/** The entry that settles a dispute: which state stands, for which pieces.
 * @param {Dispute} dispute @param {string} stands @param {string} why @returns {Row} */
export const settles = (dispute, stands, why) => ({
  object: dispute.object,
  values: {
    settles: dispute.events, stands,
    ...(dispute.pieces.length > 0 ? { pieces: dispute.pieces } : {}),
  },
  note: why || null,
});

/** Kinds of outstanding thing that a person settles by saying so, with a reason. */
export const SETTLED_BY_WORD = ["flag", "trouble", "measured", "doubt", "interruption", "renew", "gate"];

/** What is outstanding and can be settled by a person's word.
 * @param {JobState} state */
export const toSettle = (state) =>
  outstanding(state).filter((item) => SETTLED_BY_WORD.includes(item.kind) && item.since !== null);

/** What a settlement of an outstanding thing names: the flag itself, else the entry.
 * @param {Row} item @returns {string} */
export const namedBy = (item) => (item.kind === "flag" ? item.id : item.since);
