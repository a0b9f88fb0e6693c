/**
 * Registers: views of the one state, each a list of lines by name.
 *
 * They are looked up, never kept: what a register says is what the cells say. Gates name the
 * registers of which nothing may be open.
 *
 * @typedef {import("./interpreter.js").Row} Row
 * @typedef {import("./state.js").JobState} JobState
 */

import { WHOLE } from "./cells.js";
import { entriesOf, kindOf, nameOf, pieceState } from "./interpreter.js";
import { inWords, litres, sums } from "./litres.js";
import { excepted, outstanding } from "./outstanding.js";
import { isRow, text, valueOf } from "./said.js";
import { isStep } from "./state.js";

const NOT_BEFORE = "not before";
const SLACK = ["slack", "backed off", "cracked", "in to turn"];
const LOOSE_THINGS = ["tool", "rag", "workshop bolt", "cap", null];

/** Every register; `now` in milliseconds tells which waits are over.
 * @param {JobState} state @param {number | null} now @returns {{[name: string]: Row[]}} */
export function registers(state, now = null) {
  const names = [...REGISTERS.keys(), NOT_BEFORE];
  return Object.fromEntries(names.map((name) => [name, register(state, name, now)]));
}

/** One register by its name.
 * @param {JobState} state @param {string} name @param {number | null} now @returns {Row[]} */
export function register(state, name, now = null) {
  if (name === NOT_BEFORE) return notBefore(state, now);
  return /** @type {(state: JobState) => Row[]} */ (REGISTERS.get(name))(state);
}

/** @param {string | null} object @param {string} says @param {string | null} since @param {Row} more */
const line = (object, says, since, more = {}) => ({ object, says, since, ...more });

/** What an event said of something, directly or as evidence.
 * @param {JobState} state @param {string | null} event @param {string} what @returns {any} */
function said(state, event, what) {
  const values = event === null ? undefined : state.taken.get(event)?.values;
  if (values === undefined) return null;
  if (Object.hasOwn(values, what)) return values[what];
  return isRow(values.evidence) ? valueOf(values.evidence, what) : null;
}

/** @param {JobState} state @param {string} object @param {string} piece */
const since = (state, object, piece = WHOLE) => state.reading(object, piece)?.event ?? null;

/** @param {JobState} state @param {...string} kinds */
const ofKind = (state, ...kinds) =>
  state.touched().filter((id) => kinds.includes(kindOf(state.book, id)));

/** @param {JobState} state @param {string} object @returns {Row} */
const rowOf = (state, object) => /** @type {Row} */ (state.book.objects.get(object));

/** Those of a kind that are not at rest. @param {JobState} state @param {...string} kinds */
const awayOf = (state, ...kinds) => ofKind(state, ...kinds).filter((id) => !state.atRest(id));

/** Pins and locks that are in, by hole. @param {JobState} state */
function locks(state) {
  return awayOf(state, "lock").map((id) => {
    const row = rowOf(state, id);
    const hole = text(said(state, since(state, id), "hole"), row.where || "hole not said");
    return line(id, `${row.name}: in, ${hole}`, since(state, id), { hole });
  });
}

/** Holders, pullers and supports that are fitted, by place; and those put in by hand.
 * @param {JobState} state */
function supports(state) {
  const fitted = awayOf(state, "temporary").map((id) => {
    const { name, where } = rowOf(state, id);
    const says = `${name}: fitted, ${where || "place not said"}`;
    return line(id, says, since(state, id), { place: where });
  });
  return [...fitted, ...putIn(state, ["support"], "tool")];
}

/** What is put in, or dropped, and not counted out again.
 * @param {JobState} state @param {(string | null)[]} kinds @param {string} kind */
function putIn(state, kinds, kind) {
  const [into, back] = kind === "tool" ? ["in", "out"] : ["dropped", "found"];
  return [...state.put]
    .filter(([, row]) => row[into] > row[back] && kinds.includes(row.kind))
    .filter(([key]) => !state.settled.has(`${kind}:${key}`))
    .map(([key, row]) =>
      line(key, `${text(row.what, key)}: ${into}`, row.since, { count: row[into] - row[back] }));
}

/** Tools, rags, workshop bolts and caps put in and not out again. @param {JobState} state */
const tools = (state) => putIn(state, LOOSE_THINGS, "tool");

/** @param {JobState} state */
const dropped = (state) =>
  putIn(state, [...LOOSE_THINGS, "support", "part", "fastener"], "dropped");

/** The joints with pieces in one of these states, with how many pieces they have.
 * @param {JobState} state @param {string[]} states @returns {[string, string[], number][]} */
function jointsWith(state, states) {
  return ofKind(state, "joint")
    .map((id) => /** @type {[string, string[], number]} */ ([
      id, piecesIn(state, id, states), rowOf(state, id).pieces.length,
    ]))
    .filter(([, pieces]) => pieces.length > 0);
}

/** @param {JobState} state @param {string} object @param {string[]} states */
const piecesIn = (state, object, states) =>
  [...(state.cells.get(object)?.keys() ?? [])].filter((piece) =>
    states.includes(pieceState(state.book, state.standing, object, piece)));

/** Joints that were slackened and left so: they look finished and are not.
 * @param {JobState} state */
function slack(state) {
  return jointsWith(state, SLACK).map(([id, pieces, every]) => {
    const says = `${nameOf(state.book, id)}: ${pieces.length} of ${every} slack`;
    return line(id, says, since(state, id, pieces[0]), { pieces });
  });
}

/** Joints of which a stage is not known: slackened in order and begun again.
 * @param {JobState} state */
function notKnown(state) {
  return jointsWith(state, ["unknown"]).map(([id, pieces]) => {
    const says = `${nameOf(state.book, id)}: not known; slacken all in order and begin again`;
    return line(id, says, since(state, id, pieces[0]), { pieces });
  });
}

/** Fasteners counted off against on, where they differ. @param {JobState} state */
function counts(state) {
  return jointsWith(state, ["out"]).map(([id, pieces, every]) => {
    const says = `${nameOf(state.book, id)}: ${pieces.length} of ${every} out`;
    const more = { off: pieces.length, on: every - pieces.length, pieces };
    return line(id, says, since(state, id, pieces[0]), more);
  });
}

/** Joints of circuits that are open, and what closes their ends meanwhile.
 * @param {JobState} state */
function openEnds(state) {
  return jointsWith(state, ["out"]).flatMap(([id, pieces]) => {
    const rows = (state.book.demands.get(`${id} out`) ?? []).filter((row) => row.check === "opens");
    if (rows.length === 0) return [];
    const circuits = rows.map((row) => row.by);
    const event = since(state, id, pieces[0]);
    const capped = said(state, event, "capped");
    const ends = circuits.map((circuit) => nameOf(state.book, circuit)).join(", ");
    const cap = text(capped, "nothing said of a cap");
    const says = `${nameOf(state.book, id)}: ${ends} open, ${cap}`;
    return [line(id, says, event, { circuits, capped })];
  });
}

/** Parts off or aside: who took them, where they lie, which way round they sat.
 * @param {JobState} state */
function partsOff(state) {
  return awayOf(state, "part", "assembly").map((id) => {
    const entry = state.reading(id);
    const event = entry?.event ?? null;
    const lies = said(state, event, "where it lies");
    const where = text(lies, "where, nobody said");
    const says = `${nameOf(state.book, id)}: ${state.state(id)}, ${where}`;
    const way_round = said(state, event, "way round");
    return line(id, says, event, { who: entry?.person ?? null, lies, way_round });
  });
}

/** Litres out and in of each circuit: less in than out means air, or a slip.
 * @param {JobState} state */
function litresOutAndIn(state) {
  return [...sums(state)].map(([id, total]) =>
    line(id, `${nameOf(state.book, id)}: ${inWords(total)}`, since(state, id), {
      out: litres(total.out), back: litres(total.back), unread: total.unread,
    }));
}

/** Settings as found and as set: a torque held on a tensioner stands here, no tightness.
 * @param {JobState} state */
function settings(state) {
  return state.rows.settings.map(({ object, event, how, setting }) => {
    const says = `${nameOf(state.book, object)}: ${how} ${text(setting, "?")}`;
    return line(object, says, event, { how, setting });
  });
}

/** Marks made or read before something was moved. @param {JobState} state */
function marks(state) {
  const found = [];
  for (const [id, { type, object }] of state.taken) {
    if (type !== "done") continue;
    for (const word of ["mark", "index mark"]) {
      const told = text(said(state, id, word));
      if (told) found.push(line(object, `${nameOf(state.book, object)}: ${told}`, id));
    }
  }
  return found;
}

/** What was found wrong and is not put right, so that refit goes to right.
 * @param {JobState} state */
function foundWrong(state) {
  return state.rows.found
    .filter((row) => row.right === null && !state.settled.has(row.event))
    .map(({ object, what, event, pieces }) =>
      line(object, `${nameOf(state.book, object)}: ${what}`, event, { pieces }));
}

/** @param {JobState} state */
function renewed(state) {
  return state.rows.renewed.map(({ object, event, part }) =>
    line(object, `${nameOf(state.book, object)}: new, ${text(part)}`, event, { part }));
}

/** Duties that what was opened brings, and those that somebody named. @param {JobState} state */
function duties(state) {
  const brought = entriesOf(state.pack.duties)
    .filter(([, { opened_by }]) =>
      opened_by.some((/** @type {string} */ opening) => state.opened.includes(opening)))
    .map(([id, { says, limit, person, may_leave }]) => {
      const done = state.rows.duties.some((row) => row.duty === id && row.done === true);
      const words = `${id}: ${says}: ${limit || "no limit"}, ${person || "nobody named"}`;
      return line(null, words, null, { duty: id, may_leave, done });
    });
  const named = state.rows.duties
    .filter((row) => !Object.hasOwn(state.pack.duties, row.duty))
    .map(({ duty, object, limit, person, event, may_leave, done }) => {
      const says = `${text(duty, object || "")}: ${text(limit)}, ${text(person)}`;
      return line(object, says, event, { duty, may_leave, done: done === true });
    });
  return [...brought, ...named];
}

/** Duties not done before which the machine may not leave. @param {JobState} state */
const keeping = (state) => duties(state).filter((row) => !row.may_leave && !row.done);

/** Times before which something may not be done; over once `now` is past them.
 * @param {JobState} state @param {number | null} now */
function notBefore(state, now) {
  return state.rows.waits
    .filter(({ until }) => now === null || now < until)
    .map(({ object, event, until }) =>
      line(object, `${nameOf(state.book, object)}: not yet`, event, { until }));
}

/** The register of what is outstanding of one kind.
 * @param {string} kind @returns {(state: JobState) => Row[]} */
const ofOutstanding = (kind) => (state) =>
  outstanding(state).filter((item) => item.kind === kind);

/** What keeps somebody from walking away: nothing once the stop is recorded.
 * @param {JobState} state */
function interruption(state) {
  if (state.rows.stops.some((row) => row.returned === null)) return [];
  const steps = [...state.taken].filter(([, event]) => isStep(event));
  if (steps.length === 0 || outstanding(state).length === 0) return [];
  return [line(null, "no interruption mark: press stop first", steps[steps.length - 1][0])];
}

/** Joints tightened without a maker's figure in the file, and what papers print of it.
 * @param {JobState} state */
function figures(state) {
  return [...state.figures].map(([id, { prints, event, how }]) =>
    line(id, `${nameOf(state.book, id)}: ${prints}`, event, { how, prints }));
}

/** @param {JobState} state */
function looks(state) {
  return state.rows.looks.map(({ object, reads, person, event, of }) =>
    line(object, `${reads}, ${person}`, event, { of, reads }));
}

/** @param {JobState} state */
function exceptions(state) {
  return excepted(state).map(({ object, says, person, reason, event, id }) =>
    line(object, `${says}; ${person}: ${text(reason)}`, event, { item: id }));
}

/** Gates passed with something open: who, and why. @param {JobState} state */
function passes(state) {
  return state.rows.passes
    .filter((row) => row.open.length > 0)
    .map(({ object, name, person, reason, event, gate, open, purpose }) =>
      line(object, `${name}: ${person}: ${text(reason)}`, event, { gate, open, purpose }));
}

/** @param {JobState} state */
function pulledAgain(state) {
  return state.rows.pulls.map(({ object, says, event }) =>
    line(object, `${nameOf(state.book, object)}: ${says}`, event));
}

/** @param {JobState} state */
function madeSafe(state) {
  return awayOf(state, "make-safe").map((id) =>
    line(id, `${nameOf(state.book, id)}: made safe`, since(state, id)));
}

/** @type {Map<string, (state: JobState) => Row[]>} */
const REGISTERS = new Map(
  Object.entries({
    locks, slack, "not known": notKnown, "parts off": partsOff, counts, "open ends": openEnds,
    litres: litresOutAndIn, "litres short": ofOutstanding("litres"), dropped, tools, supports, "made safe": madeSafe, settings, marks,
    "found wrong": foundWrong, renewed, duties, "duties that keep it": keeping,
    conflicts: ofOutstanding("conflict"),
    outstanding, interruption, figures, "pulled again": pulledAgain, looks,
    "to be seen": ofOutstanding("to be seen"), exceptions,
    gates: passes,
  }),
);
