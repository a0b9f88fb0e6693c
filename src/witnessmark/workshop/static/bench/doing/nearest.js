/**
 * Which outstanding thing is nearest: the one opened last is closed first.
 *
 * @typedef {import("../../ledger/outstanding.js").Item} Item
 * @typedef {import("../../ledger/state.js").JobState} JobState
 */

/** Outstanding things, the one that was opened last first.
 * @param {JobState} state @param {Item[]} items @returns {Item[]} */
export function latestFirst(state, items) {
  const place = new Map(state.history.order.map((id, at) => [id, at]));
  const at = (/** @type {Item} */ item) => place.get(item.since ?? "") ?? -1;
  return [...items].sort((one, other) => at(other) - at(one));
}
