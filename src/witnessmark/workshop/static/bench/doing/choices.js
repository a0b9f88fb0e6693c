/**
 * Answers offered at one tap: from the kit, from the machine, from what was said last.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/state.js").JobState} JobState
 * @typedef {import("./acts.js").Act} Act
 */

import { nameOf } from "../../ledger/book.js";
import { registers } from "../../ledger/registers.js";

const WRENCHES = "Torque wrenches";
const FASTENERS = "Renew: fasteners for single use";
const PARTS = ["Renew: parts", "Renew: gaskets and seals", "Have at hand: may be needed"];
const FLUIDS = "Fluids, sealants, greases";
const MOST = 8;

/** The choices for one thing asked, the likeliest first.
 * @param {JobState} state @param {Act} act @param {string} word @param {Row | null} card
 * @returns {string[]} */
export function choicesFor(state, act, word, card) {
  const made = CHOICES[word]?.(state, act, card) ?? [];
  return [...new Set(made.filter((each) => each !== ""))].slice(0, MOST);
}

/** The rows of a group of the kit. @param {JobState} state @param {...string} titles
 * @returns {Row[]} */
function kit(state, ...titles) {
  /** @type {Row[]} */
  const groups = state.pack.texts?.job_card?.kit ?? [];
  return groups.filter((group) => titles.includes(group.title)).flatMap((group) => group.rows);
}

/** What was last answered to something, the latest first, each once.
 * @param {JobState} state @param {string} word @returns {string[]} */
export function lastSaid(state, word) {
  const found = [];
  for (const event of [...state.taken.values()].reverse()) {
    const value = Object.hasOwn(event.values, word) ? event.values[word] : null;
    if (typeof value === "string" && !found.includes(value)) found.push(value);
  }
  return found;
}

/** The wrenches of the workshop's list, the one for this torque of this joint first.
 * @param {JobState} state @param {Act} act @param {Row | null} card @returns {string[]} */
function wrenches(state, act, card) {
  const rows = kit(state, WRENCHES).filter((row) => !row.what.startsWith("no wrench"));
  const name = nameOf(state.book, act.object);
  const detail = card?.tightness?.detail ?? "";
  const fit = (/** @type {Row} */ row) =>
    Number(row.why.split(", ").includes(name)) + Number(row.amount === act.torque)
    + 2 * Number(detail.includes(`${row.what}, `) && act.torque === null);
  const serving = rows.filter((row) => fit(row) > 0).sort((one, other) => fit(other) - fit(one));
  const others = rows.filter((row) => fit(row) === 0).map((row) => row.what.split(" with ")[0]);
  return [...serving.map((row) => row.what), ...lastSaid(state, "wrench"), ...others];
}

/** Where things are put: where the last ones lie, then the next bag and tray.
 * @param {JobState} state @returns {string[]} */
function stores(state) {
  const said = [...lastSaid(state, "where it lies"), ...lastSaid(state, "length and place")];
  const next = (/** @type {string} */ what) => {
    const numbers = said.map((each) => new RegExp(`^${what} (\\d+)$`).exec(each)?.[1] ?? "0");
    return `${what} ${Math.max(0, ...numbers.map(Number)) + 1}`;
  };
  return [...said.slice(0, 2), next("bag"), next("tray"), "on the bench", "shelf"];
}

/** @param {JobState} state @param {string[]} titles @param {string} name
 * @returns {string[]} lines of the kit that are for a thing of this name */
function lines(state, titles, name) {
  return kit(state, ...titles)
    .filter((row) => row.what === name || row.what.startsWith(`${name}:`))
    .map((row) => row.number.split(", ")[0]);
}

/** What came out of a circuit and has not gone in. @param {JobState} state @param {Act} act */
function litresMissing(state, act) {
  const row = registers(state).litres.find((/** @type {Row} */ each) => each.object === act.object);
  const missing = row ? Number(row.out) - Number(row.back) : 0;
  return missing > 0 ? [String(Math.round(missing * 100) / 100)] : [];
}

/** The kit's litres of fluid. @param {JobState} state @returns {string[]} */
const litresOfKit = (state) =>
  kit(state, FLUIDS).map((row) => /^([0-9.]+) L$/.exec(row.amount)?.[1] ?? "");

/** @param {Row | null} card @returns {string[]} which way a shaft turns, as the card says it */
function turned(card) {
  const told = (card?.drive ?? []).join(" ");
  const ways = /anticlockwise/.test(told)
    ? ["anticlockwise"] : /clockwise/.test(told) ? ["clockwise"] : ["clockwise", "anticlockwise"];
  return ways.map((way) => `two turns, ${way}`);
}

/** The locks a job has touched, for counting them out. @param {JobState} state
 * @param {string | null} object @returns {string[]} */
function locksOut(state, object) {
  const row = object === null ? undefined : state.book.objects.get(object);
  if (row?.kind === "lock") return [`out and counted: ${row.name}`];
  const names = state.touched()
    .filter((id) => state.book.objects.get(id)?.kind === "lock")
    .map((id) => nameOf(state.book, id));
  return names.length > 0 ? [`${names.length} out and counted: ${names.join(", ")}`] : ["none was in"];
}

/** @param {JobState} state @param {Act} act */
const name = (state, act) => nameOf(state.book, act.object);

/** @param {JobState} state @param {Act} act */
const place = (state, act) => state.book.objects.get(act.object ?? "")?.where ?? "";

/** @type {{[word: string]: (state: JobState, act: Act, card: Row | null) => string[]}} */
const CHOICES = {
  wrench: wrenches,
  "where it lies": stores,
  "length and place": (state) => ["each in its own place, in order", ...stores(state)],
  "way round": () => ["marked before it came off", "goes one way only", "marked side outwards"],
  "tied to": (state) => [...lastSaid(state, "tied to"), "tied up with a strap", "hung on a hook"],
  "new fasteners": (state, act) =>
    [...lines(state, [FASTENERS], name(state, act)).map((each) => `new, ${each}`), "new, from stock"],
  "new part": (state, act) =>
    [...lines(state, PARTS, name(state, act)).map((each) => `new, ${each}`), "the old one again"],
  "litres out": (state) => lastSaid(state, "litres out"),
  "litres in": (state, act) => [...litresMissing(state, act), ...litresOfKit(state)],
  capped: () => ["capped, both ends", "plugged", "not capped"],
  "held back by": () => ["hose clamps", "plug"],
  level: () => ["at its mark, cold", "at its mark, warm", "below its mark, cold"],
  "gauge at nothing": () => ["nothing", "no gauge; opened slowly, nothing came"],
  mark: () => ["on its mark, as the card says"],
  turns: (state, act, card) =>
    state.book.tables.proof_turns.includes(act.object) || act.writes[0]?.action === "turn"
      ? turned(card) : ["not turned; looked at", ...turned(card)],
  "marks meet": () => ["yes, all of them"],
  "locks out": (state, act) => locksOut(state, act.object),
  hole: (state, act) => [place(state, act)],
  place: (state, act) => [place(state, act)],
  "who may": (state) => lastSaid(state, "who may"),
  "proof of safe": () => ["tried: dead", "measured: nothing", "looked at: as it should be"],
  "setting as found": (state, act) => lastSaid(state, "setting as found"),
  "why not known": () => ["lost count", "called away", "somebody else began it", "not sure"],
};
