/**
 * Gates: what must be closed before an act, by name, for its purpose.
 *
 * A gate looks at the same state as everything else: objects in its clearances, what the
 * machine's tables demand of the act itself, and the registers it names.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./state.js").JobState} JobState
 * @typedef {{kind: string, object: string | null, says: string}} Open
 */

import { deepest, depthOf, halves, kindOf, shaftsTurned, turningDemands, unmet } from "./interpreter.js";
import { register } from "./registers.js";

const TO_START = "to start";
const TURNING = "turning-by-hand";

/**
 * Tell whether a gate may be passed as things stand.
 * @param {JobState} state
 * @param {string} gateId
 * @param {string | null} purpose what the act is for; gates with purposes want one of them
 * @param {string | null} object the shaft turned, the circuit opened, or the part that covers
 * @param {number | null} now milliseconds; without it no wait counts as over
 * @returns {Row} what is `open`, what it `asks`, whether it is `clear`, and `passable` by name
 */
export function gate(state, gateId, purpose = null, object = null, now = null) {
  const row = /** @type {Row} */ (state.book.gates.get(gateId));
  /** @type {Open[]} */
  const open = [];
  for (const each of everything(state, row, purpose, object, now)) {
    if (!open.some((other) => other.object === each.object && other.says === each.says)) {
      open.push(each);
    }
  }
  const locked = open.some((each) => each.kind === "lock");
  const shut = open.some((each) => each.kind === "unread");
  return {
    gate: gateId,
    name: row.name,
    purpose,
    open,
    asks: [...row.asks],
    clear: open.length === 0,
    passable: !shut && (row.passable || !locked),
  };
}

/** The gates that stand before an action on an object. A shaft whose proof is only a look at
 * its mark turns nothing.
 * @param {JobState} state @param {string} actionId @param {string | null} object
 * @returns {string[]} */
export function gatesBefore(state, actionId, object) {
  const { actions, tables } = state.book;
  const turns = actionId === "turn" || tables.proof_turns.includes(object);
  return (actions.get(actionId)?.gates ?? []).filter(
    (/** @type {string} */ each) => each !== TURNING || turns,
  );
}

/** @param {string} kind @param {string | null} object @param {string} says @returns {Open} */
const openThing = (kind, object, says) => ({ kind, object, says });

/** @param {JobState} state @param {Row} row @param {string | null} purpose
 * @param {string | null} object @param {number | null} now @returns {Open[]} */
function everything(state, row, purpose, object, now) {
  const found = state.history.unknown.map((id) =>
    openThing("unread", null, `an entry this edition does not know (${id.slice(0, 8)})`),
  );
  if (row.purposes.length > 0 && !row.purposes.includes(purpose)) {
    found.push(openThing("purpose", null, `say for which purpose: ${row.purposes.join(", ")}`));
  }
  for (const clearance of row.clear_when) {
    if (clearance.purposes.length === 0 || clearance.purposes.includes(purpose)) {
      found.push(...notClear(state, clearance, object));
    }
  }
  found.push(...ofTheAct(state, row, purpose, object));
  for (const name of row.registers) {
    for (const line of register(state, name, now)) {
      found.push(openThing(kindOr(state, line.object, name), line.object, line.says));
    }
  }
  return found;
}

/** The kind of an object; another word where the pack does not know it.
 * @param {JobState} state @param {string | null} object @param {string} otherwise @returns {string} */
const kindOr = (state, object, otherwise) =>
  (object === null ? undefined : state.book.objects.get(object))?.kind ?? otherwise;

/** @param {JobState} state @param {Row} clearance @param {string | null} object @returns {Open[]} */
function notClear(state, clearance, object) {
  const { kind, states } = clearance;
  return inScope(state, clearance, object)
    .filter((each) => !states.includes(state.state(each)))
    .map((each) => {
      const says = state.book.states.get(kind)?.get(state.state(each))?.says;
      return openThing(kind, each, `${state.book.objects.get(each)?.name}: ${says}`);
    });
}

/** The objects a clearance looks at: of its kind, role and scope, and disturbed.
 * @param {JobState} state @param {Row} clearance @param {string | null} object */
function inScope(state, clearance, object) {
  const turned = object === null ? [] : shaftsTurned(state.book, state.standing, object);
  const hidden = hiddenBy(state, object);
  return state.touched().filter((each) => {
    const row = /** @type {Row} */ (state.book.objects.get(each));
    if (!isMeant(clearance, row, turned)) return false;
    return clearance.scope !== "hidden" || hidden.includes(each);
  });
}

/** @param {Row} clearance @param {Row} row @param {string[]} turned */
function isMeant(clearance, row, turned) {
  if (row.kind !== clearance.kind) return false;
  if (clearance.roles.length > 0 && !clearance.roles.includes(row.role)) return false;
  return clearance.scope !== "holding" || turned.some((shaft) => row.holds.includes(shaft));
}

/** What is open and can only be closed with a part off or aside.
 * @param {JobState} state @param {string | null} object @returns {string[]} */
function hiddenBy(state, object) {
  return ["moved", "off"]
    .flatMap((depth) => state.book.restsOn.get(`${object} ${depth}`) ?? [])
    .map(([bound]) => halves(bound))
    .filter(([hidden, opening]) => state.cells.has(hidden) && standsAt(state, hidden, opening))
    .map(([hidden]) => hidden);
}

/** @param {JobState} state @param {string} object @param {string} opening */
function standsAt(state, object, opening) {
  const there = depthOf(state.book, kindOf(state.book, object), opening);
  return deepest(state.book, state.standing, object) >= there;
}

/** @type {{[gate: string]: string}} */
const ACTS = { cranking: "crank", "first-start": "start", lowering: "lower" };

/** What the machine's own tables and bars demand of the act behind a gate.
 * @param {JobState} state @param {Row} row @param {string | null} purpose
 * @param {string | null} object @returns {Open[]} */
function ofTheAct(state, row, purpose, object) {
  const { book, standing } = state;
  const acts = row.id in ACTS ? [ACTS[row.id]] : [];
  if (row.id === "cranking" && purpose === TO_START) acts.push("start");
  if (row.id === "opening-pressure" && object !== null) acts.push(`pressurise ${object}`);
  const broken = acts.flatMap((each) => unmet(book, standing, book.demands.get(each) ?? [], "act"));
  if (row.id === TURNING && object !== null) {
    broken.push(...turningDemands(book, standing, object));
  }
  return broken.map(({ rule, object: about, says }) =>
    openThing(kindOr(state, about, rule), about, says),
  );
}

/** Every object a gate's pass speaks for, disturbed or not yet.
 * @param {JobState} state @param {string} gateId @param {string | null} object @returns {string[]} */
export function scopeOf(state, gateId, object) {
  const row = /** @type {Row} */ (state.book.gates.get(gateId));
  if (row.registers.includes("outstanding")) return [...state.book.objects.keys()];
  const turned = object === null ? [] : shaftsTurned(state.book, state.standing, object);
  return [...state.book.objects]
    .filter(([, about]) =>
      row.clear_when.some((/** @type {Row} */ clearance) => isMeant(clearance, about, turned)),
    )
    .map(([each]) => each);
}
