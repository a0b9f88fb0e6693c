/**
 * What an apprentice did that is not on their list must be seen by somebody else before it is
 * covered.
 *
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{id: string, role: string, may_do: string[] | null}} Person
 * @typedef {import("../../ledger/outstanding.js").Item} Item
 */

import { outstanding } from "../../ledger/outstanding.js";
import { writtenAs } from "./words.js";

/** The acts that wait for a second pair of eyes. @param {JobState} state @param {Person[]} people
 * @returns {Item[]} */
export function unseen(state, people) {
  const lists = new Map(people.map((each) => [each.id, each.may_do]));
  const seen = seenBy(state);
  const found = [];
  for (const [id, event] of state.taken) {
    const mayDo = lists.get(event.person) ?? null;
    if (event.type !== "done" || mayDo === null || seen.has(id)) continue;
    const kind = state.book.objects.get(event.object)?.kind ?? "";
    if (mayDo.includes(event.action) || mayDo.includes(kind) || !stands(state, id, event.object)) continue;
    found.push({
      id: `unseen:${id}`, kind: "unseen", object: event.object, pieces: [], since: id,
      says: `${writtenAs(state, id)}, by ${event.person}: nobody else has seen it`,
    });
  }
  return found;
}

/** Everything outstanding, with what waits for a second pair of eyes.
 * @param {JobState} state @param {Person[]} people @returns {Item[]} */
export const allOpen = (state, people) => [...outstanding(state), ...unseen(state, people)];

/** Whether what an act left stands still. @param {JobState} state @param {string} id
 * @param {string | null} object */
const stands = (state, id, object) => object !== null && state.writers(object).includes(id);

/** The acts that somebody other than their writer has looked at. @param {JobState} state */
function seenBy(state) {
  const found = new Set();
  for (const { of, person } of state.rows.looks) {
    for (const id of of) if (state.event(id).person !== person) found.add(id);
  }
  return found;
}
