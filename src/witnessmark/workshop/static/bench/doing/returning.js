/**
 * Coming back after a stop: the last steps are looked at again and stated.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{event: string, says: string, when: number, angled: boolean}} Again
 */

import { writtenAs } from "./words.js";

/** The stops to which nobody came back. @param {JobState} state @returns {Row[]} */
export const openStops = (state) => state.rows.stops.filter((row) => row.returned === null);

/** The steps that must be looked at again, the latest first, each once.
 * @param {JobState} state @returns {Again[]} */
export function toLookAt(state) {
  const ids = openStops(state).flatMap((stop) => stop.again);
  return [...new Set(ids)].map((event) => ({
    event,
    says: writtenAs(state, event),
    when: state.event(event).wall,
    angled: isAngled(state, state.taken.get(event) ?? state.event(event)),
  }));
}

/** Whether a step tightened by an angle: then only paint marks can tell.
 * @param {JobState} state @param {Row} event */
function isAngled(state, { action, object }) {
  const target = state.book.actions.get(action)?.target;
  return ["made", "part-tightened"].includes(target) && Boolean(state.book.objects.get(object)?.angled);
}

/** What `returned` says of the steps looked at.
 * @param {Map<string, string>} stated by step: `as recorded`, `paint marks` or `unknown`
 * @returns {Row[]} */
export const lookedAt = (stated) =>
  [...stated].map(([event, how]) =>
    how === "unknown" ? { event, stands: "unknown" }
      : how === "paint marks" ? { event, stands: "as recorded", by: "paint marks" }
        : { event, stands: "as recorded" });
