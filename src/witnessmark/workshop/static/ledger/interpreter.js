/**
 * The rule book's interpreter over plain data: what an action does and which rules it breaks.
 *
 * The twin of `witnessmark.procedure.interpreter`; both run the same committed vectors. It
 * refuses nothing: an action that breaks rules is still done, and every rule it breaks is named.
 *
 * A standing is `{at, pieces, old}`: the state of each object, of each piece of a joint, and
 * the pieces of single-use joints that were slackened and have not been out since. What is
 * not listed is at rest. All three are Maps: their keys are ids, and ids may look like numbers,
 * which plain objects would put in another order.
 *
 * @typedef {import("./canonical.js").Plain} Plain
 * @typedef {{[key: string]: any}} Row a row of the rule book, of a pack or of an event
 * @typedef {{at: Map<string, string>, pieces: Map<string, Map<string, string>>,
 *   old: Map<string, string[]>}} Standing
 * @typedef {[string, string | null, string]} Move object, piece or null, state
 * @typedef {{rule: string, object: string | null, says: string}} Broken
 * @typedef {{moves: Move[], broken: Broken[]}} Outcome
 * @typedef {{rules: Row, tables: Row, objects: Map<string, Row>,
 *   states: Map<string, Map<string, Row>>, actions: Map<string, Row>, checks: Map<string, Row>,
 *   evidence: Map<string, Row>, gates: Map<string, Row>, demands: Map<string, Row[]>,
 *   ways: Map<string, Map<string, Row>>, restsOn: Map<string, [string, Row][]>}} Book
 */

import { byCodePoint } from "./canonical.js";

/** States of a moment: no way is taken to them. */
const BY_HAND = ["in to turn"];
/** Where a move takes a shaft that loses its proof; one without its belt stays as it is. */
export const LOST = "proof lost";
/** Actions that move nothing: what they do to shafts is said beside. */
const STILL = ["turn", "pull-again", "pressurise"];
const PROOFS = ["prove", "belt-and-prove"];

/** @returns {Standing} everything at rest */
export const atRest = () => ({ at: new Map(), pieces: new Map(), old: new Map() });

/** Tables of packs, sorted once: a pack never changes. @type {WeakMap<Row, [string, any][]>} */
const SORTED = new WeakMap();

/** The entries of a pack's table in the order of canonical bytes.
 * @param {Row} plain @returns {[string, any][]} */
export function entriesOf(plain) {
  const known = SORTED.get(plain);
  if (known !== undefined) return known;
  const found = Object.entries(plain).sort(([left], [right]) => byCodePoint(left, right));
  SORTED.set(plain, found);
  return found;
}

/** @param {Row} plain @returns {Map<string, any>} */
const mapOf = (plain) => new Map(entriesOf(plain));

/** @param {Row[]} rows @returns {Map<string, Row>} */
const byId = (rows) => new Map(rows.map((row) => [row.id, row]));

/**
 * Index the plain rows once: every look-up below is one step.
 * @param {Row} rules
 * @param {Row} tables
 * @param {Map<string, Row>} objects the pack's, and what was noted since
 * @param {Map<string, Row[]>} demands the tables', and those of what was noted
 * @returns {Book}
 */
export function readBook(rules, tables, objects, demands) {
  const book = {
    rules,
    tables,
    objects,
    states: new Map(rules.kinds.map((/** @type {Row} */ kind) => [kind.id, byId(kind.states)])),
    actions: byId(rules.actions),
    checks: byId(rules.checks),
    evidence: byId(rules.evidence),
    gates: byId(rules.gates),
    demands,
    ways: new Map(entriesOf(tables.ways).map(([bound, ways]) => [bound, mapOf(ways)])),
    restsOn: new Map(),
  };
  indexWhatRests(book);
  return book;
}

/** Index lasting demands by each opening they rest on. @param {Book} book */
function indexWhatRests(book) {
  /** @type {[string, Row[]][]} */
  const asked = [...book.demands];
  for (const [bound, ways] of book.ways) asked.push([bound, wayTaken(ways, {})?.refit ?? []]);
  for (const [bound, rows] of asked) {
    for (const row of rows) {
      if (!book.checks.get(row.check)?.lasting || row.wanted !== "open") continue;
      for (const [object, state] of row.openings) {
        listIn(book.restsOn, `${object} ${state}`).push([bound, row]);
      }
    }
  }
}

/** @template T @param {Map<string, T[]>} map @param {string} key @returns {T[]} */
export function listIn(map, key) {
  const found = map.get(key) ?? [];
  map.set(key, found);
  return found;
}

// Looking

/** @param {Book} book @param {string} object @returns {Row} */
const rowOf = (book, object) => /** @type {Row} */ (book.objects.get(object));

/** @param {Book} book @param {string} object @returns {string} */
export const kindOf = (book, object) => rowOf(book, object).kind;

/** The name of an object; its id when the pack does not know it.
 * @param {Book} book @param {string | null} object @returns {string} */
export function nameOf(book, object) {
  return object === null ? "the job" : (book.objects.get(object)?.name ?? object);
}

/** @param {Book} book @param {string} kind @returns {Map<string, Row>} its states, rest first */
const statesOf = (book, kind) => /** @type {Map<string, Row>} */ (book.states.get(kind));

/** @param {Book} book @param {string} kind @returns {string} */
export const restOf = (book, kind) => [...statesOf(book, kind).keys()][0];

/** @param {Book} book @param {string} kind @param {string} state @returns {number} */
export const depthOf = (book, kind, state) => statesOf(book, kind).get(state)?.depth;

/** The ids of an object's pieces in tightening order. @param {Book} book @param {string} object */
export function pieceIds(book, object) {
  const row = rowOf(book, object);
  /** @type {string[]} */
  const ids = row.pieces.map((/** @type {Row} */ piece) => piece.id);
  if (row.order === null) return ids;
  const first = row.order.filter((/** @type {string} */ id) => ids.includes(id));
  return [...first, ...ids.filter((id) => !first.includes(id))];
}

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

// Checking

/** @param {string} rule @param {string | null} object @param {string} says @returns {Broken} */
const brokenRule = (rule, object, says) => ({ rule, object, says });

/** The demands that are not met as things stand; `skip` is an object not looked at.
 * @param {Book} book @param {Standing} standing @param {Row[]} rows @param {string} event
 * @param {string | null} skip @returns {Broken[]} */
export function unmet(book, standing, rows, event, skip = null) {
  const found = [];
  for (const row of rows) {
    const check = /** @type {Row} */ (book.checks.get(row.check));
    /** @type {[string, string][]} */
    const openings = row.openings;
    if (!check.events.includes(event) || openings.some(([object]) => object === skip)) continue;
    const known = openings.filter(([object]) => book.objects.has(object));
    const opened = known.filter(([object, state]) => isOpen(book, standing, object, state));
    if (opened.length > 0 === (row.wanted === "open")) continue;
    found.push(complaint(book, standing, row, check, opened.length > 0 ? opened : known));
  }
  return found;
}

/** @param {Book} book @param {Standing} standing @param {Row} row @param {Row} check
 * @param {[string, string][]} shown @returns {Broken} */
function complaint(book, standing, row, check, shown) {
  const object = shown.length > 0 ? shown[0][0] : null;
  /** @type {{[place: string]: string}} */
  const words = { other: row.of, wanted: "out of the way", state: "not described" };
  if (object !== null) {
    words.other = nameOf(book, object);
    words.wanted = statesOf(book, kindOf(book, object)).get(shown[0][1])?.says;
    words.state = saysState(book, standing, object);
  }
  words.by = nameOf(book, row.by);
  let says = check.says;
  for (const place of ["other", "wanted", "state", "by"]) {
    says = says.split(`{${place}}`).join(words[place]);
  }
  return brokenRule(row.check, object, says + (row.why ? ` (${row.why})` : ""));
}

/** Whether an object, or any piece of it, stands at least as deep as a state.
 * @param {Book} book @param {Standing} standing @param {string} object @param {string} state */
function asDeep(book, standing, object, state) {
  return deepest(book, standing, object) >= depthOf(book, kindOf(book, object), state);
}

/** What is open still and rested on openings of an object that are now closed.
 * @param {Book} book @param {Standing} before @param {Standing} after @param {string} object */
function stillResting(book, before, after, object) {
  const found = [];
  for (const state of statesOf(book, kindOf(book, object)).keys()) {
    for (const [bound, row] of book.restsOn.get(`${object} ${state}`) ?? []) {
      const [other, depth] = halves(bound);
      if (!book.objects.has(other) || !asDeep(book, after, other, depth)) continue;
      const standsIn = (/** @type {Standing} */ standing) =>
        row.openings.some((/** @type {[string, string]} */ [o, s]) => isOpen(book, standing, o, s));
      if (!standsIn(before) || standsIn(after)) continue;
      const says = `${nameOf(book, other)} is still ${saysState(book, after, other)}`;
      found.push(brokenRule(row.check, other, says));
    }
  }
  return found;
}

/** Split `object state` at its first space. @param {string} bound @returns {[string, string]} */
export function halves(bound) {
  const at = bound.indexOf(" ");
  return at < 0 ? [bound, ""] : [bound.slice(0, at), bound.slice(at + 1)];
}

// Doing

/** The shafts that turn with one, itself first; alone once a belt of its is off.
 * @param {Book} book @param {Standing} standing @param {string} shaft @returns {string[]} */
export function shaftsTurned(book, standing, shaft) {
  for (const belt of own(book.tables.belts, shaft) ?? []) {
    const carriers = [...book.objects].filter(([, row]) => row.parts.includes(belt));
    const off = [belt, ...carriers.map(([id]) => id)];
    if (off.some((each) => isOpen(book, standing, each, "moved"))) return [shaft];
  }
  const others = own(book.tables.turns_with, shaft) ?? [shaft];
  return [shaft, ...others.filter((/** @type {string} */ other) => other !== shaft)];
}

/** A plain object's own value. @param {Row} plain @param {string} key @returns {any} */
export const own = (plain, key) => (Object.hasOwn(plain, key) ? plain[key] : undefined);

/** @param {Book} book @param {Standing} standing @param {string} shaft @param {string | null} skip */
export function turningDemands(book, standing, shaft, skip = null) {
  return shaftsTurned(book, standing, shaft).flatMap((other) => {
    const rows = (book.demands.get(`turn ${other}`) ?? []).filter(
      (row) => other === shaft || row.check !== "turning without bolt",
    );
    return unmet(book, standing, rows, "act", skip);
  });
}

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
    const old = after.old.get(object) ?? [];
    const kept = old.filter((each) => each !== piece);
    const deep = depthOf(book, "joint", state);
    if (deep < 2 && (old.includes(piece) || (was === "made" && deep === 1))) kept.push(piece);
    after.old.set(object, kept);
  }
  return after;
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

/** The way taken: the one named, else the plan's, else the only one.
 * @param {Map<string, Row>} ways @param {Row} values @returns {Row | null} */
function wayTaken(ways, values) {
  const named = ways.get(values.way);
  if (named !== undefined) return named;
  const every = [...ways.values()];
  return every.find((way) => way.planned) ?? (every.length === 1 ? every[0] : null);
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
