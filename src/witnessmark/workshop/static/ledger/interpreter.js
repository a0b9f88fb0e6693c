/**
 * The rule book's interpreter over plain data: what an action does and which rules it breaks.
 *
 * The twin of `witnessmark.procedure.interpreter`; both run the same committed vectors. It
 * refuses nothing: an action that breaks rules is still done, and every rule it breaks is named.
 *
 * @typedef {import("./book.js").Row} Row
 * @typedef {import("./book.js").Book} Book
 * @typedef {import("./standing.js").Standing} Standing
 * @typedef {import("./standing.js").Move} Move
 * @typedef {import("./demands.js").Broken} Broken
 * @typedef {{moves: Move[], broken: Broken[]}} Outcome
 */

import { depthOf, kindOf, nameOf, own, pieceIds, rowOf, statesOf, wayTaken } from "./book.js";
import { brokenRule, stillResting, turningDemands, unmet } from "./demands.js";
import { LOST, deepest, moved, pieceState, saysState, stateOf } from "./standing.js";

export * from "./book.js";
export * from "./demands.js";
export * from "./standing.js";

/** States of a moment: no way is taken to them. */
const BY_HAND = ["in to turn"];

/** Actions that move nothing: what they do to shafts is said beside. */
const STILL = ["turn", "pull-again", "pressurise"];
const PROOFS = ["prove", "belt-and-prove"];

/** The pieces an action names: by id, by running count, or all.
 * @param {Book} book @param {string} object @param {Row} values @returns {[string[], Broken[]]} */
export function chosenPieces(book, object, values) {
  const ids = pieceIds(book, object);
  const { pieces: named, count } = values;
  if (Array.isArray(named)) {
    const strange = named.filter((each) => !ids.includes(each));
    const broken = strange.map((each) => brokenRule("pieces", object, `it has no ${each}`));
    return [ids.filter((id) => named.includes(id)), broken];
  }
  if (typeof count === "number") {
    if (count >= 0 && count <= ids.length) return [ids.slice(0, count), []];
    return [ids, [brokenRule("pieces", object, `it has ${ids.length}, not ${count}`)]];
  }
  return [ids, []];
}

/**
 * Say what an action does and breaks: the moves of the object itself first, then the shafts
 * that lose their proof, with `LOST` for a state. `landsOn` says what a move comes to.
 * @param {Book} book
 * @param {Standing} standing
 * @param {string} actionId
 * @param {string | null} object
 * @param {Row} values
 * @param {boolean} forAMoment within a step that undoes it again
 * @returns {Outcome}
 */
export function act(book, standing, actionId, object, values, forAMoment = false) {
  const action = book.actions.get(actionId);
  if (action === undefined) return refused("action", object, `no '${actionId}' known`);
  if (action.kind === "machine") {
    const rows = book.demands.get(actionId) ?? [];
    return { moves: [], broken: unmet(book, standing, rows, "act") };
  }
  if (object === null || !book.objects.has(object)) {
    return refused("object", object, "nobody described it");
  }
  if (kindOf(book, object) !== action.kind) {
    return refused("object", object, `${nameOf(book, object)} is a ${kindOf(book, object)}`);
  }
  const [pieces, broken] = chosenPieces(book, object, values);
  /** @type {Move[]} */
  let moves = pieces.map((piece) => [object, piece, action.target]);
  if (pieceIds(book, object).length === 0) moves = [[object, null, action.target]];
  moves = settledMoves(book, action, moves);
  const after = moved(book, standing, moves);
  broken.push(
    ...wrongSource(book, standing, action, moves),
    ...furtherPull(book, object, actionId),
    ...demanded(book, standing, after, action, object, values),
    ...turning(book, standing, actionId, object),
    ...(forAMoment ? [] : stillResting(book, standing, after, object)),
    ...madeWithOld(standing, object, moves),
  );
  moves = [...moves, ...lostProofs(book, action, object)];
  return { moves, broken: eachOnce(broken) };
}

/** @param {string} rule @param {string | null} object @param {string} says @returns {Outcome} */
const refused = (rule, object, says) => ({ moves: [], broken: [brokenRule(rule, object, says)] });

/** Leave out what an act does not move; spread what is unknown over its whole pattern.
 *
 * An angle that is not known of one bolt is not known of the joint.
 * @param {Book} book @param {Row} action @param {Move[]} moves @returns {Move[]} */
function settledMoves(book, action, moves) {
  if (STILL.includes(action.id)) return [];
  if (action.target !== "unknown" || moves.length === 0) return moves;
  const object = moves[0][0];
  if (!rowOf(book, object).angled) return moves;
  return pieceIds(book, object).map((piece) => [object, piece, "unknown"]);
}

/** Which pieces do not stand where the action starts; done already is no fault.
 * @param {Book} book @param {Standing} standing @param {Row} action @param {Move[]} moves */
function wrongSource(book, standing, action, moves) {
  /** @type {Map<string, [string, string[]]>} */
  const found = new Map();
  for (const [object, piece, target] of moves) {
    const here =
      piece === null ? stateOf(book, standing, object) : pieceState(book, standing, object, piece);
    if (here === target || action.sources.includes(here)) continue;
    const row = found.get(here) ?? [object, []];
    found.set(here, row);
    if (piece !== null) row[1].push(piece);
  }
  return [...found].map(([state, [object, pieces]]) => {
    const says = statesOf(book, kindOf(book, object)).get(state)?.says;
    const which = pieces.length > 0 ? ` ${pieces.join(", ")}` : "";
    return brokenRule("state", object, `${nameOf(book, object)}${which} is ${says}`);
  });
}

/** @param {Book} book @param {string} object @param {string} actionId */
function furtherPull(book, object, actionId) {
  if (actionId !== "pull-again") return [];
  const row = rowOf(book, object);
  const why = row.tightness === null ? "no torque is known to pull to" : row.no_further_pull;
  return why === null ? [] : [brokenRule("further pull", object, why)];
}

/** The openings passed between two standings of an object, shallow first.
 * @param {Book} book @param {Standing} before @param {Standing} after @param {string} object */
function passed(book, before, after, object) {
  const [was, is] = [deepest(book, before, object), deepest(book, after, object)];
  const [low, high] = [Math.min(was, is), Math.max(was, is)];
  return [...statesOf(book, kindOf(book, object)).values()]
    .filter((row) => row.opening && low < row.depth && row.depth <= high)
    .map((row) => `${object} ${row.id}`);
}

/** The demands of the openings passed, and of the way taken where it is known.
 * @param {Book} book @param {Standing} standing @param {Standing} after @param {Row} action
 * @param {string} object @param {Row} values @returns {Broken[]} */
function demanded(book, standing, after, action, object, values) {
  const deeper = deepest(book, after, object) > deepest(book, standing, object);
  const event = deeper ? "strip" : "refit";
  const byHand = BY_HAND.includes(action.target) || BY_HAND.includes(action.sources[0]);
  const found = [];
  for (const opening of passed(book, standing, after, object)) {
    found.push(...unmet(book, standing, book.demands.get(opening) ?? [], event));
    const way = byHand ? null : wayTaken(book.ways.get(opening) ?? new Map(), values);
    found.push(...unmet(book, standing, way === null ? [] : way[event], event));
  }
  if (action.id === "pressurise") {
    found.push(...unmet(book, standing, book.demands.get(`pressurise ${object}`) ?? [], "act"));
  }
  return found;
}

/** What is wrong with turning, by itself or for a proof.
 * @param {Book} book @param {Standing} standing @param {string} actionId @param {string} object */
function turning(book, standing, actionId, object) {
  if (actionId === "turn") return turningDemands(book, standing, object);
  if (PROOFS.includes(actionId) && book.tables.proof_turns.includes(object)) {
    return turningDemands(book, standing, object, object);
  }
  return [];
}

/** @param {Standing} standing @param {string} object @param {Move[]} moves */
function madeWithOld(standing, object, moves) {
  const old = standing.old.get(object) ?? [];
  const again = moves.some(([, piece, state]) => state === "made" && old.includes(piece ?? ""));
  const says = "single use; once slackened it comes out, and new ones go in";
  return again ? [brokenRule("single use", object, says)] : [];
}

/** The shafts that lose their proof: disturbed by what opened, or turned. One that has none to
 * lose is named too: whoever proves it meanwhile did not know.
 * @param {Book} book @param {Row} action @param {string} object @returns {Move[]} */
function lostProofs(book, action, object) {
  const shafts = new Set();
  if (action.half === "strip") {
    const depth = depthOf(book, action.kind, action.target);
    for (const row of statesOf(book, action.kind).values()) {
      if (row.depth > depth) continue;
      for (const shaft of own(book.tables.disturbs, `${object} ${row.id}`) ?? []) shafts.add(shaft);
    }
  }
  if (action.id === "turn") {
    for (const shaft of [object, ...(own(book.tables.turns_with, object) ?? [])]) shafts.add(shaft);
  }
  return [...shafts]
    .filter((shaft) => book.tables.proved.includes(shaft))
    .map((shaft) => [shaft, null, LOST]);
}

/** @param {Broken[]} broken @returns {Broken[]} */
function eachOnce(broken) {
  const same = (/** @type {Broken} */ one, /** @type {Broken} */ other) =>
    one.rule === other.rule && one.object === other.object && one.says === other.says;
  return broken.filter((each, at) => broken.findIndex((other) => same(each, other)) === at);
}

/** Do one act of a work's own step, given as `{verb, object, state}`: an object is taken to a
 * state by whatever action leads there.
 * @param {Book} book @param {Standing} standing @param {Row} row @returns {Outcome} */
export function actTo(book, standing, row) {
  const { verb, object, state: target } = row;
  if (verb !== "set") return act(book, standing, verb, object, {}, true);
  const kind = kindOf(book, object);
  const here = stateOf(book, standing, object);
  const momentary = BY_HAND.includes(here) || BY_HAND.includes(target);
  for (const half of momentary ? ["act"] : ["strip", "refit"]) {
    const action = book.rules.actions.find(
      (/** @type {Row} */ each) =>
        each.kind === kind && each.target === target && each.half === half
        && each.sources.includes(here),
    );
    if (action !== undefined) return act(book, standing, action.id, object, {}, true);
  }
  if (here === target) return { moves: [], broken: [] };
  const says = `${nameOf(book, object)} is ${saysState(book, standing, object)}`;
  return refused("state", object, says);
}
