/**
 * What others wrote since this phone last looked.
 *
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {{since: (heads: string[]) => string[], heads: () => string[]}} Graph
 */

import { writtenAs } from "./words.js";

/** The entries of other devices that came in since, in order.
 * @param {JobState} state @param {Graph} graph @param {string[]} looked heads at the last look
 * @param {string} device this phone @returns {{id: string, says: string, person: string}[]} */
export function meanwhile(state, graph, looked, device) {
  return graph.since(looked)
    .filter((id) => state.event(id).device !== device && state.event(id).type !== "begin")
    .map((id) => ({ id, says: writtenAs(state, id), person: state.event(id).person }));
}
