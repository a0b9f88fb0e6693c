/**
 * How the things of a machine stand, and where moves take them.
 *
 * The twin of `witnessmark.procedure.standing`. A standing is `{at, pieces, old}`: the state of
 * each object, of each piece of a joint, and the pieces of single-use joints that were slackened
 * and have not been out since. What is not listed is at rest.
 *
 * @typedef {import("./book.js").Book} Book
 * @typedef {{at: Map<string, string>, pieces: Map<string, Map<string, string>>,
 *   old: Map<string, string[]>}} Standing
 * @typedef {[string, string | null, string]} Move object, piece or null, state
 */

import { depthOf, kindOf, pieceIds, restOf, rowOf, statesOf } from "./book.js";

/** Where a move takes a shaft that loses its proof; one without its belt stays as it is. */
export const LOST = "proof lost";

/** @returns {Standing} everything at rest */
export const atRest = () => ({ at: new Map(), pieces: new Map(), old: new Map() });

/** @param {Book} book @param {Standing} standing @param {string} object @param {string} piece */
export function pieceState(book, standing, object, piece) {
  return standing.pieces.get(object)?.get(piece) ?? restOf(book, "joint");
}

/** The state of an object; a joint's follows from its pieces.
 * @param {Book} book @param {Standing} standing @param {string} object @returns {string} */
export function stateOf(book, standing, object) {
  const kind = kindOf(book, object);
  const pieces = kind === "joint" ? pieceIds(book, object) : [];
  if (pieces.length === 0) return standing.at.get(object) ?? restOf(book, kind);
  if (!standing.pieces.has(object)) return restOf(book, kind);
  return together(book, kind, pieces.map((piece) => pieceState(book, standing, object, piece)));
}

/** The state of a joint whose pieces stand in these states.
 * @param {Book} book @param {string} kind @param {string[]} states @returns {string} */
function together(book, kind, states) {
  if (states.every((state) => state === states[0])) return states[0];
  if (states.includes("unknown")) return "unknown";
  const between = [...statesOf(book, kind).values()].find((state) => state.opening);
  return /** @type {Row} */ (between).id;
}

/** Whether an object stands at least as deep as a state.
 * @param {Book} book @param {Standing} standing @param {string} object @param {string} state */
export function isOpen(book, standing, object, state) {
  const kind = kindOf(book, object);
  return depthOf(book, kind, stateOf(book, standing, object)) >= depthOf(book, kind, state);
}

/** @param {Book} book @param {Standing} standing @param {string} object @returns {string} */
export function saysState(book, standing, object) {
  return statesOf(book, kindOf(book, object)).get(stateOf(book, standing, object))?.says;
}

/** How deep an object stands; a joint as deep as its deepest piece: one bolt out of sixteen
 * releases nothing, but one hose end off opens a circuit.
 * @param {Book} book @param {Standing} standing @param {string} object @returns {number} */
export function deepest(book, standing, object) {
  const kind = kindOf(book, object);
  const pieces = [...(standing.pieces.get(object)?.values() ?? [])];
  if (kind !== "joint" || pieces.length === 0) {
    return depthOf(book, kind, stateOf(book, standing, object));
  }
  return Math.max(...pieces.map((state) => depthOf(book, "joint", state)));
}

/** Whether an object, or any piece of it, stands at least as deep as a state.
 * @param {Book} book @param {Standing} standing @param {string} object @param {string} state */
export function asDeep(book, standing, object, state) {
  return deepest(book, standing, object) >= depthOf(book, kindOf(book, object), state);
}

/** The state a move takes a thing to that stands somewhere; null if it stays. What is out is
 * known to be out, and a shaft free of its belt has no proof to lose.
 * @param {Book} book @param {string} kind @param {string} here @param {string} target
 * @returns {string | null} */
export function landsOn(book, kind, here, target) {
  if ((target === LOST || target === "unknown") && depthOf(book, kind, here) > 1) return null;
  return target === LOST ? "unproven" : target;
}

/** The standing after moves; the one given is left as it is.
 * @param {Book} book @param {Standing} standing @param {Move[]} moves @returns {Standing} */
export function moved(book, standing, moves) {
  const after = {
    at: new Map(standing.at),
    pieces: new Map(standing.pieces),
    old: new Map(standing.old),
  };
  for (const [object, piece, target] of moves) {
    const kind = kindOf(book, object);
    const was = piece === null
      ? after.at.get(object) ?? restOf(book, kind) : pieceState(book, after, object, piece);
    const state = landsOn(book, kind, was, target);
    if (state === null) continue;
    if (piece === null) {
      after.at.set(object, state);
      continue;
    }
    after.pieces.set(object, new Map(after.pieces.get(object) ?? []).set(piece, state));
    if (!rowOf(book, object).single_use) continue;
    after.old.set(object, oldAfter(book, after.old.get(object) ?? [], piece, was, state));
  }
  return after;
}

/** The pieces slackened and not out since, after one piece went to another state.
 * @param {Book} book @param {string[]} old @param {string} piece @param {string} was
 * @param {string} state @returns {string[]} */
export function oldAfter(book, old, piece, was, state) {
  const kept = old.filter((each) => each !== piece);
  const deep = depthOf(book, "joint", state);
  if (deep < 2 && (old.includes(piece) || (was === "made" && deep === 1))) kept.push(piece);
  return kept;
}
