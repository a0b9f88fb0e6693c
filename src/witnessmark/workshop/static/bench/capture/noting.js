/**
 * From a photo or a line to entries of the record: what is written, and nothing is drawn here.
 *
 * A thing is noted once. Naming it later, and mending what was read wrongly, are corrections of
 * that entry, so that it has one description and one moment at which it came off.
 *
 * @typedef {import("../../ledger/interpreter.js").Row} Row
 * @typedef {import("./line.js").Reading} Reading
 * @typedef {import("./things.js").Thing} Thing
 * @typedef {{type: string, fields: Row}} Entry
 */

import { roleOf } from "./roles.js";
import { groupText } from "./sentence.js";
import { strokes } from "./things.js";

/** The id of the next thing a device notes; ids longer than an id may be are cut.
 * @param {Thing[]} things @param {string} device @param {number} further how many after the next */
export function nextId(things, device, further = 0) {
  const start = `n-${device.slice(0, 50)}-`;
  const known = things.map(({ id }) => (id.startsWith(start) ? Number(id.slice(start.length)) : 0));
  return `${start}${Math.max(0, ...known.filter(Number.isInteger)) + 1 + further}`;
}

/** A photo is a thing taken off. @param {string} id @param {number} number @param {string} photo
 * @returns {Entry} */
export const thingOff = (id, number, photo) => ({
  type: "noted",
  fields: { object: id, photos: [photo], values: { kind: "part", name: `thing ${number}`, state: "off" } },
});

/** Name a thing by what was read, or mend what was read before.
 * @param {Thing[]} things @param {Thing} thing @param {Reading} reading @param {string} line
 * @param {string} nextOne the id of a joint to note beside it @returns {Entry[]} */
export function naming(things, thing, reading, line, nextOne) {
  const own = things.find((each) => each.values.beside === thing.id) ?? null;
  if (isJoint(reading)) {
    const values = jointValues(reading, reading.name ?? fallback(reading, thing), line);
    const kept = thing.kind === "joint" ? heldAsSaid(thing) : {};
    return [mended(thing, { ...values, ...kept, state: stateOff(thing, "joint") }), ...takenBack(own)];
  }
  const part = mended(thing, { ...partValues(reading, thing, line), state: stateOff(thing, "part") });
  if (!hasFasteners(reading)) return [part, ...takenBack(own)];
  const values = jointValues(reading, `${nounOf(reading)} of ${reading.name ?? thing.name}`, line);
  const beside = { ...values, beside: thing.id, holds: [thing.id], holds_said: true };
  if (own !== null) return [part, mended(own, { ...beside, state: stateOff(own, "joint") })];
  return [part, { type: "noted", fields: { object: nextOne, values: { ...beside, state: "out" } } }];
}

/** A reading of fasteners alone: `eleven, tray two`, `crank bolt`. @param {Reading} reading */
export function isJoint(reading) {
  if (reading.name === null) return hasFasteners(reading);
  return /\b(?:bolts?|nuts?|screws?|studs?|clips?|circlips?|fasteners?|unions?)$/i.test(reading.name);
}

/** @param {Reading} reading */
const hasFasteners = ({ count, groups, fastener, thread, different }) =>
  count !== null || groups.length > 0 || fastener !== null || thread !== null || different !== null;

/** @param {Reading} reading */
const nounOf = ({ fastener, count }) =>
  count === 1 ? (fastener ?? "fastener") : `${fastener ?? "fastener"}s`;

/** A name for fasteners that nobody named. @param {Reading} reading @param {Thing} thing */
const fallback = (reading, { number }) =>
  reading.place === null ? `${nounOf(reading)} ${number}` : `${nounOf(reading)} in ${reading.place}`;

/** @param {Reading} reading @param {Thing} thing @param {string} line @returns {Row} */
const partValues = (reading, thing, line) => said({
  kind: "part", name: reading.name ?? thing.name, place: reading.where,
  "where it lies": reading.place, line, not_understood: reading.notUnderstood,
  beside: thing.values.beside,
});

/** @param {Reading} reading @param {string} name @param {string} line @returns {Row} */
function jointValues(reading, name, line) {
  return said({
    kind: "joint", name, place: reading.where, "where it lies": reading.place, line,
    count: reading.count, lengths: lengthsOf(reading), thread: threadOf(reading),
    sizes: reading.groups.map(groupText), groups: reading.groups.map(said), head: reading.head,
    fastener: reading.fastener, hand: reading.hand, different: reading.different,
    single_use: reading.singleUse, surface: reading.threadlocked ? "threadlocked" : null,
    role: roleOf(name), not_understood: reading.notUnderstood,
  });
}

/** What was said at all. @param {Row} row @returns {Row} */
const said = (row) =>
  Object.fromEntries(Object.entries(row).filter(([, value]) =>
    value !== null && value !== undefined && value !== false && !(Array.isArray(value) && value.length === 0)));

/** The length of each piece, where all were said. @param {Reading} reading @returns {string[]} */
function lengthsOf({ groups, count }) {
  const sum = groups.reduce((all, group) => all + (group.count ?? 0), 0);
  if (sum !== count || sum > 400 || groups.some(({ length }) => length === null)) return [];
  return groups.flatMap(({ count: each, length }) => Array(each).fill(length));
}

/** The thread they all have. @param {Reading} reading @returns {string | null} */
function threadOf({ groups, thread }) {
  const threads = new Set(groups.map((group) => group.thread));
  return threads.size === 1 ? ([...threads][0] ?? thread) : thread;
}

/** The state a thing was noted in: slack on purpose stays slack. @param {Thing} thing
 * @param {string} kind */
const stateOff = ({ values }, kind) =>
  values.kind === kind && typeof values.state === "string" ? values.state : kind === "joint" ? "out" : "off";

/** What a person said a joint holds stays when its line is typed again. @param {Thing} thing */
const heldAsSaid = ({ values }) => said({ holds: values.holds, holds_said: values.holds_said });

/** Correct the entry of a thing. @param {Thing} thing @param {Row} values @returns {Entry} */
export const mended = (thing, values) => ({
  type: "correct",
  fields: { object: thing.id, values: { corrects: thing.event, instead: { values } } },
});

/** Take a thing back, as one that never came off. @param {Thing | null} thing @returns {Entry[]} */
export const takenBack = (thing) =>
  thing === null ? [] : [{
    type: "correct", fields: { object: thing.id, values: { corrects: thing.event, instead: null } },
  }];

/** What the joints hold by the order things came off: the part after a joint was held by it,
 * unless somebody said otherwise. Gives the corrections that are due.
 * @param {Thing[]} things @returns {Entry[]} */
export function bindings(things) {
  const spoken = new Set(things.filter(({ values }) => values.holds_said).flatMap(({ holds }) => holds));
  const alone = strokes(things);
  return alone.flatMap((joint, at) => {
    if (joint.kind !== "joint" || joint.values.holds_said || joint.values.state === "slack") return [];
    const after = alone[at + 1];
    const holds = after?.kind === "part" && !spoken.has(after.id) && !after.values.loose ? [after.id] : [];
    if (JSON.stringify(holds) === JSON.stringify(joint.holds)) return [];
    return [mended(joint, said({ ...joint.values, holds }))];
  });
}

/** Say what holds a part: these joints and no others. @param {Thing[]} things @param {Thing} part
 * @param {string[]} joints @returns {Entry[]} */
export function heldBySaid(things, part, joints) {
  const changed = things
    .filter((each) => each.kind === "joint" && each.holds.includes(part.id) !== joints.includes(each.id))
    .map((joint) => {
      const others = joint.holds.filter((/** @type {string} */ each) => each !== part.id);
      const holds = joints.includes(joint.id) ? [...others, part.id] : others;
      return mended(joint, { ...said({ ...joint.values, holds }), holds_said: true });
    });
  const loose = joints.length === 0;
  if (loose === Boolean(part.values.loose)) return changed;
  return [...changed, mended(part, said({ ...part.values, loose }))];
}
