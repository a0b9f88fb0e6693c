/**
 * What an apprentice does that is not on their list is seen by somebody else before it is covered.
 *
 * The entry says so itself when it is written, so that every device knows, whatever it is told
 * of people later.
 *
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{id: string, role: string, may_do: string[] | null}} Person
 */

/** Whether what somebody writes waits for a second pair of eyes.
 * @param {Person | null} person @param {JobState} state @param {string | null} action
 * @param {string | null} object @returns {boolean} */
export function mustBeSeen(person, state, action, object) {
  const mayDo = person?.may_do ?? null;
  if (mayDo === null) return false;
  const kind = object === null ? "machine" : (state.book.objects.get(object)?.kind ?? "block");
  return !mayDo.includes(kind) && !(action !== null && mayDo.includes(action));
}

/** The entries that wait for it still. @param {JobState} state @param {import("../../ledger/outstanding.js").Item[]} open
 * @returns {Set<string>} */
export const waitingToBeSeen = (state, open) =>
  new Set(open.filter((item) => item.kind === "to be seen" && state.taken.has(item.since ?? ""))
    .map((item) => item.since ?? ""));
