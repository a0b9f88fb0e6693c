/**
 * Reads a line that people say of what they took off: "eleven, three lengths, tray two".
 *
 * Pure. What is not understood is said, and nothing is added that was not in the line.
 *
 * @typedef {import("./words.js").Word} Word
 * @typedef {{count: number | null, thread: string | null, length: string | null,
 *   which: string | null}} Group how many of which thread and length; `which` is a word for it
 * @typedef {{count: number | null, fastener: string | null, different: number | null,
 *   groups: Group[], thread: string | null, head: string | null, name: string | null,
 *   where: string | null, place: string | null, singleUse: boolean, threadlocked: boolean,
 *   hand: "left" | "right" | null, disagrees: string | null, notUnderstood: string[]}} Reading
 *   `different` is a number of lengths, `where` a place on the machine, `place` where it is kept
 */

import { HEARD, leftOver, taken, wordsOf } from "./words.js";
import { SHORTEST, headOf, threadOf } from "./sizes.js";
import { sentenceOf } from "./sentence.js";

/** Fasteners as they are said, each with the word it is written by. */
const FASTENERS = new Map([
  ["bolt", "bolt"], ["bolts", "bolt"], ["setscrew", "screw"], ["screw", "screw"],
  ["screws", "screw"], ["setscrews", "screw"], ["nut", "nut"], ["nuts", "nut"],
  ["stud", "stud"], ["studs", "stud"], ["clip", "clip"], ["clips", "clip"],
  ["circlip", "circlip"], ["circlips", "circlip"], ["connector", "connector"],
  ["connectors", "connector"], ["rivet", "rivet"], ["rivets", "rivet"],
  ["union", "union"], ["unions", "union"], ["hose end", "hose end"],
  ["hose ends", "hose end"], ["cable tie", "cable tie"], ["cable ties", "cable tie"],
  ["fastener", ""], ["fasteners", ""], ["off", ""],
]);
const NOUN = [...FASTENERS.keys()].filter((word) => word !== "off")
  .sort((a, b) => b.length - a.length).join("|");
const HEARD_WORDS = [...HEARD.keys()].join("|");
const NUMBER = "\\d{1,3}";
const DECIMAL = "\\d{1,3}(?:\\.\\d{1,2})?";
const MM = "(?: ?(?:mm|mil|mill|mils|millimetres?|millimeters?))";
const WHICH = "longest|shortest|longer|shorter|long|short|thicker|thinner|thick|thin|odd";
const STORES = [
  "tray", "bag", "box", "shelf", "bench", "tin", "tub", "jar", "pot", "cup", "bucket", "bin",
  "drawer", "crate", "rack", "trolley", "floor", "magnet", "card", "cardboard", "lid", "boot",
  "footwell", "table", "cabinet", "cupboard", "pocket", "dish", "envelope",
].join("|");
const STORE_WORDS = [
  "red", "blue", "green", "yellow", "black", "white", "orange", "grey", "clear", "top",
  "bottom", "middle", "upper", "lower", "left", "right", "front", "back", "rear", "big", "small",
  "little", "large", "parts", "magnetic", "plastic", "egg", "tool", "work",
].join("|");

/** A fresh reading, in which nothing was said. @returns {Reading} */
const nothing = () => ({
  count: null, fastener: null, different: null, groups: [], thread: null, head: null, name: null,
  where: null, place: null, singleUse: false, threadlocked: false, hand: null,
  disagrees: null, notUnderstood: [],
});

/** Read a line. Never throws; the sentence of a reading reads back as the same.
 * @param {unknown} line @returns {Reading} */
export function readLine(line) {
  const reading = read(typeof line === "string" ? line.slice(0, 500) : "");
  for (const field of /** @type {const} */ (["where", "name", "place"])) {
    if (isSame(read(sentenceOf(reading)), reading)) return reading;
    if (reading[field] === null) continue;
    reading.notUnderstood.push(reading[field]);
    reading[field] = null;
  }
  if (isSame(read(sentenceOf(reading)), reading)) return reading;
  return { ...nothing(), notUnderstood: [String(line).slice(0, 500)] };
}

/** @param {Reading} again @param {Reading} first */
const isSame = (again, first) =>
  JSON.stringify({ ...again, notUnderstood: [] }) ===
    JSON.stringify({ ...first, notUnderstood: [] }) && again.notUnderstood.length === 0;

/** @param {string} line @returns {Reading} */
function read(line) {
  const words = wordsOf(line);
  const reading = nothing();
  const parts = [
    readKept, readMarks, readThreads, readHeads, readLengths, readOdd, readCounts, readDifferent,
    readPlaces, readBareCount, readRest,
  ];
  for (const part of parts) part(words, reading);
  return tidied(reading);
}

/** A place that is said to be one: `kept: on the sill`. @param {Word[]} words @param {Reading} reading */
function readKept(words, reading) {
  const pattern = / (?:kept|stored|stowed)(?: ,)? ((?:[^,| ]+ )+?)(?=,|\||$)/;
  for (const match of taken(words, pattern)) {
    const said = match.words.filter((word) => word.code !== ",").slice(1);
    place(reading, said.map((word) => word.text).join(" "));
  }
}

/** @param {Reading} reading @param {string} said */
function place(reading, said) {
  const bare = said.replace(/^(?:(?:in|into|on|onto|to|at|under|by)\s+)?(?:(?:the|my|a)\s+)?/i, "");
  if (bare === "") return;
  if (reading.place === null) reading.place = bare;
  else reading.notUnderstood.push(said);
}

/** Single-use, threadlocked, hand of thread. @param {Word[]} words @param {Reading} reading */
function readMarks(words, reading) {
  const once =
    / (?:single[- ]use|one[- ]use|1[- ]use|use once|used once|stretch(?=,? (?:bolts?|screws?|,|$))|not (?:to be )?re-?used|(?:do not|don't|never) re-?use|new (?:ones|bolts|nuts|screws) (?:needed|wanted|go in)) /;
  if (taken(words, once).length > 0) reading.singleUse = true;
  const lock = / (?:with )?(?:thread ?-?lock(?:ed|er|ing)?|locked threads?|lock(?:ing)? compound) /;
  if (taken(words, lock).length > 0) reading.threadlocked = true;
  const hand = / (?:with )?(?:a )?(left|right|reverse|l|r)(?:[- ]?hand(?:ed)?|h)? threads? | (lh|rh|left-?handed|right-?handed)(?: threads?)? /;
  for (const match of taken(words, hand)) {
    const left = /^(?:l|rev)/.test(match[1] ?? match[2]);
    reading.hand = left ? "left" : "right";
  }
}

/** Threads, with their lengths and how many there are. @param {Word[]} words @param {Reading} reading */
function readThreads(words, reading) {
  const heard = `(?:(${NUMBER}|to|too|for|fore|ate|won|a|an|single) (?:of |off |x )?)?`;
  const metric =
    `(?:m|em) ?(\\d{1,2}(?:\\.\\d)?)(?: ?(?:x|by) ?(${DECIMAL}))?(?: ?(?:x|by) ?(${DECIMAL}))?${MM}?`;
  const inch = "(\\d{1,2}/\\d{1,2})(?:-(\\d{1,2}))? (unc|unf|unef|bsw|bsf)|g (\\d/\\d)";
  const pattern = new RegExp(` ${heard}(?:${metric}|${inch})(?: long)? (?:(${NOUN}) )?`);
  for (const match of taken(words, pattern)) {
    const sizes = threadOf(match.slice(2, 9));
    if (sizes === null) {
      reading.notUnderstood.push(match.words.map((word) => word.text).join(" "));
      continue;
    }
    reading.groups.push({ count: numberOf(match[1]), ...sizes, which: null });
    fastened(reading, match[9]);
  }
}

/** @param {string | undefined} said @returns {number | null} */
function numberOf(said) {
  if (said === undefined) return null;
  return HEARD.get(said) ?? Number(said);
}

/** @param {Reading} reading @param {string | undefined} noun */
function fastened(reading, noun) {
  if (noun) reading.fastener = FASTENERS.get(noun) || reading.fastener;
}

/** What turns it: `13 mm head`, `hex 13`, `Torx 30`. @param {Word[]} words @param {Reading} reading */
function readHeads(words, reading) {
  const size = `(${DECIMAL})${MM}?`;
  const kind = "hexagon|hex|spanner|socket|key|allen|torx|star|spline|bi-?hex";
  const pattern = new RegExp(
    ` (?:with )?(?:a )?(?:(?:(${kind}) )?${size} (?:(${kind}) )?heads?|heads? (?:of )?(?:(${kind}) )?${size}(?: (${kind}))?|` +
      `(${kind}) (?:t|e)?${size}|${size} (${kind})|(?:(?:torx|star|head) )?([te]) ?(\\d{1,2})|` +
      "(phillips|crosshead|cross head|pozi|slotted|flat blade)|heads? (cross|slot))(?: heads?)? ",
  );
  for (const match of taken(words, pattern)) {
    const said = headOf(match.slice(1));
    if (reading.head === null || reading.head === said) reading.head = said;
    else reading.notUnderstood.push(match.words.map((word) => word.text).join(" "));
  }
}

/** Lengths, and how many of each. @param {Word[]} words @param {Reading} reading */
function readLengths(words, reading) {
  const counted = `(?:(${NUMBER}|${HEARD_WORDS}) (?:x |of |off |at |are )?)?`;
  const patterns = [
    new RegExp(` ${counted}(${DECIMAL})${MM} long (?:1s )?(?:(${NOUN}) )?`),
    new RegExp(` (${NUMBER}) (?:at|of) (${DECIMAL})${MM}? (?:long )?`),
    new RegExp(` ()lengths? (?:of )?(${DECIMAL})${MM}? `),
    new RegExp(` ()(${DECIMAL})${MM} lengths? `),
  ];
  for (const pattern of patterns) {
    for (const match of taken(words, pattern)) {
      const [, count, length, noun] = match;
      if (Number(length) < SHORTEST) {
        reading.notUnderstood.push(match.words.map((word) => word.text).join(" "));
        continue;
      }
      const group = { count: numberOf(count || undefined), length, thread: null, which: null };
      if (!lengthened(reading, group)) reading.groups.push(group);
      fastened(reading, noun);
    }
  }
}

/** Give a thread that was said without a length the length said after it.
 * @param {Reading} reading @param {Group} group */
function lengthened(reading, group) {
  const last = reading.groups[reading.groups.length - 1];
  if (last === undefined || last.length !== null || group.count !== null) return false;
  last.length = group.length;
  return true;
}

/** Those of another kind: `one longer at the bottom`, `three short and two long`.
 * @param {Word[]} words @param {Reading} reading */
function readOdd(words, reading) {
  const at = "(?:at|in|on) the (?:[^,| ]+ ?){1,3}?|(?:at )?(?:top|bottom|left|right|middle|end)";
  const pattern = new RegExp(
    ` (${NUMBER}|${HEARD_WORDS}) (?:is |are |of them (?:is |are )?)?(${WHICH})(?: (?:1|1s|ones|one))?(?: (${NOUN}))?(?: (${at}))? (?=,|\\||and |$|${NUMBER} )`,
  );
  for (const match of taken(words, pattern)) {
    const where = match[4] ? ` ${match[4].trim()}` : "";
    const which = `${match[2]}${where}`;
    reading.groups.push({ count: numberOf(match[1]), thread: null, length: null, which });
    fastened(reading, match[3]);
  }
}

/** How many: `two bolts`, `eleven off`. @param {Word[]} words @param {Reading} reading */
function readCounts(words, reading) {
  const own = `(${NUMBER}|${HEARD_WORDS}) (?:of (?:them|the) |x )?(${NOUN})`;
  for (const match of taken(words, new RegExp(` (?:with |and )?${own} `))) {
    counted(reading, match);
  }
  for (const match of taken(words, new RegExp(` (${NUMBER}) off (?=,|\\||$)`))) counted(reading, match);
  for (const match of taken(words, new RegExp(`(?<=^|,|\\|) (?:and |with )?(${NOUN}) (?=,|\\||$)`))) {
    fastened(reading, match[1]);
  }
}

/** @param {Reading} reading @param {RegExpExecArray & {words: Word[]}} match */
function counted(reading, match) {
  const count = numberOf(match[1]);
  if (reading.count === null) reading.count = count;
  else reading.notUnderstood.push(match.words.map((word) => word.text).join(" "));
  fastened(reading, match[2]);
}

/** How many different ones: `three lengths`. @param {Word[]} words @param {Reading} reading */
function readDifferent(words, reading) {
  const pattern = new RegExp(` (?:of |in )?(${NUMBER}|to|too|for|tree) (?:different )?(?:lengths|sizes) `);
  for (const match of taken(words, pattern)) {
    reading.different = match[1] === "tree" ? 3 : numberOf(match[1]);
  }
}

/** Where it is kept: `tray two`, `on the top shelf`. @param {Word[]} words @param {Reading} reading */
function readPlaces(words, reading) {
  const lead = "(?:(?:put |goes |lies |is |laid )?(?:in|into|on|onto|to|at|under|by) (?:the |my |a )?)?";
  const pattern = new RegExp(
    ` (${lead})((?:(?:${STORE_WORDS}) ){0,2}(?:${STORES})(?: (?:number )?(?:${NUMBER}|to|too|for|[a-h]))?) (?=,|\\||and |$|${NUMBER} )`,
  );
  for (const match of taken(words, pattern)) {
    const said = match.words.slice(match[1] ? match[1].trim().split(" ").length : 0);
    const last = said[said.length - 1];
    const number = said.length > 1 ? HEARD.get(last.code) : undefined;
    const texts = said.filter((word) => word.code !== "number").map(placeWord);
    if (number !== undefined && !/^[a-h]$/.test(last.code)) texts[texts.length - 1] = String(number);
    place(reading, texts.join(" "));
  }
}

/** @param {Word} word */
const placeWord = ({ text, code }) => {
  if (/^\d+$/.test(code)) return code;
  return /^[a-h]$/.test(code) ? code.toUpperCase() : text.toLowerCase();
};

/** A number that stands for itself is the count. @param {Word[]} words @param {Reading} reading */
function readBareCount(words, reading) {
  const pattern = new RegExp(`(?<=^|,|\\|) (${NUMBER})(?: of them)? (?=,|\\||$)`);
  for (const match of taken(words, pattern)) {
    if (reading.count === null && Number(match[1]) > 0) reading.count = Number(match[1]);
    else reading.notUnderstood.push(match.words.map((word) => word.text).join(" "));
  }
}

const EDGES = ["and", "with", "of", "for", "from", "off", "the", "a", "an", "holding", "x", "plus", "by", "it's", "its", "is"];
const BESIDE = /^(?:behind|under|underneath|above|below|over|near|beside|next|on|in|at|inside|round|around|between)$/;

/** What is left names the thing, or says where it sits. @param {Word[]} words @param {Reading} reading */
function readRest(words, reading) {
  for (const run of leftOver(words)) {
    const said = trimmed(run);
    if (said.length === 0) continue;
    const text = said.map((word) => word.text).join(" ");
    const isPlace = BESIDE.test(said[0].code) && said.length > 1;
    if (isPlace && reading.where === null) reading.where = text;
    else if (!isPlace && reading.name === null && isName(said)) reading.name = text;
    else reading.notUnderstood.push(text);
  }
}

/** @param {Word[]} run @returns {Word[]} */
function trimmed(run) {
  let [from, to] = [0, run.length];
  while (from < to && EDGES.includes(run[from].code)) from += 1;
  while (to > from && EDGES.includes(run[to - 1].code)) to -= 1;
  return run.slice(from, to);
}

/** A name has a word in it; a figure by itself names nothing. @param {Word[]} said */
const isName = (said) =>
  said.some(({ code }) => /\p{L}{2}/u.test(code) && !/^(?:mm|mil|mill|yes|no|er|um|erm)$/.test(code)) &&
  !said.some(({ code }) => /^\d+(?:\.\d+)?(?:mm|mil|mill)?$/.test(code) && /^(?:mm|mil)/.test(said[said.length - 1].code));

/** Put together what belongs together, and say what does not agree.
 * @param {Reading} reading @returns {Reading} */
function tidied(reading) {
  const { groups } = reading;
  if (groups.length === 1 && groups[0].which === null) {
    const [only] = groups;
    reading.count = reading.count ?? only.count;
    if (only.length === null) {
      reading.thread = only.thread;
      reading.groups = [];
    } else if (only.count === null) only.count = reading.count;
  }
  const counts = reading.groups.map((group) => group.count);
  const sum = counts.reduce((/** @type {number | null} */ all, each) =>
    all === null || each === null ? null : all + each, 0);
  if (sum === null || sum === 0) return reading;
  const odd = reading.groups.every((group) => group.which !== null) && /er|est|odd/.test(String(reading.groups[0].which));
  if (reading.count === null && !odd) reading.count = sum;
  if (reading.count !== null && (sum > reading.count || (sum < reading.count && !odd && reading.groups.length > 1))) {
    reading.disagrees = `${reading.count} in all, but ${counts.join(" and ")} make ${sum}`;
  }
  return reading;
}
