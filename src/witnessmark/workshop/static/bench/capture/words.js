/**
 * The words of a line that somebody says: numbers spelled out, and what a dictating phone hears.
 *
 * @typedef {{text: string, code: string, used: boolean}} Word `code` is what patterns look at
 */

const UNITS = [
  "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
  "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
];
const TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/** @type {Map<string, number>} */
const NUMBERS = new Map([
  ...UNITS.map((word, at) => /** @type {[string, number]} */ ([word, at + 1])),
  ...TENS.map((word, at) => /** @type {[string, number]} */ ([word, (at + 2) * 10])),
  ["fourty", 40],
  ["couple", 2],
  ["pair", 2],
  ["dozen", 12],
]);

/** The words of a line; commas and full stops are words of their own, coded `,`.
 * @param {string} line @returns {Word[]} */
export function wordsOf(line) {
  const spaced = line
    .normalize("NFC")
    .replace(/[\u2018\u2019]/g, "'")
    .replace(/[\u201c\u201d]/g, '"')
    .replace(/[\u2013\u2014]/g, ", ")
    .replace(/[×✕]/g, "x")
    .replace(/(\d)\s*x\s*(?=m\s*\d)/gi, "$1 ")
    .replace(/[,;!?]|[.:](?=\s|$)/g, " , ");
  const texts = spaced.split(/\s+/u).filter(Boolean);
  return joined(texts.map((text) => ({ text, code: codeOf(text), used: false })));
}

/** @param {string} text */
function codeOf(text) {
  const low = text.toLowerCase().replace(/^['"(]+|['")]+$/g, "");
  const number = NUMBERS.get(low);
  if (number !== undefined) return String(number);
  const [ten, unit] = low.split("-");
  const sum = unit === undefined ? 0 : tensAndUnit(ten, unit);
  return sum > 0 ? String(sum) : low;
}

/** @param {string} ten @param {string} unit */
function tensAndUnit(ten, unit) {
  const high = TENS.includes(ten) ? NUMBERS.get(ten) : undefined;
  const low = UNITS.indexOf(unit) + 1;
  return high !== undefined && low >= 1 && low <= 9 ? high + low : 0;
}

/** Numbers of several words made one: `twenty five`, `half a dozen`, `a couple of`.
 * @param {Word[]} words @returns {Word[]} */
function joined(words) {
  /** @type {Word[]} */
  const found = [];
  for (let at = 0; at < words.length; at += 1) {
    const { span, code } = numberAt(words, at);
    const text = words.slice(at, at + span).map((word) => word.text).join(" ");
    found.push({ text, code, used: false });
    at += span - 1;
  }
  return found;
}

/** @param {Word[]} words @param {number} at @returns {{span: number, code: string}} */
function numberAt(words, at) {
  const low = (/** @type {number} */ step) => words[at + step]?.text.toLowerCase();
  if (low(0) === "half" && low(1) === "a" && low(2) === "dozen") return { span: 3, code: "6" };
  if (low(0) === "a" && ["couple", "pair"].includes(low(1) ?? "")) {
    return { span: low(2) === "of" ? 3 : 2, code: "2" };
  }
  if (low(0) === "a" && low(1) === "dozen") return { span: 2, code: "12" };
  const sum = tensAndUnit(low(0) ?? "", low(1) ?? "");
  return sum > 0 ? { span: 2, code: String(sum) } : { span: 1, code: words[at].code };
}

/** What a phone writes for a number it heard, where only a number can stand. */
export const HEARD = new Map([
  ["to", 2], ["too", 2], ["for", 4], ["fore", 4], ["ate", 8], ["won", 1], ["a", 1], ["an", 1],
  ["single", 1],
]);

/** A line as one text to look in: words by their codes, one blank between, each used one a bar.
 * @param {Word[]} words @returns {{text: string, starts: number[]}} */
export function coded(words) {
  /** @type {number[]} */
  const starts = [];
  let text = " ";
  for (const word of words) {
    starts.push(text.length);
    text += `${word.used ? "|" : word.code} `;
  }
  return { text, starts };
}

/** Find a pattern among the words that are not used yet, and use them up.
 * @param {Word[]} words @param {RegExp} pattern whose match begins and ends with whole words
 * @returns {(RegExpExecArray & {words: Word[]})[]} */
export function taken(words, pattern) {
  const found = [];
  for (;;) {
    const { text, starts } = coded(words);
    const match = new RegExp(pattern.source, "u").exec(text);
    if (match === null) return found;
    const from = match.index;
    const to = from + match[0].trimEnd().length;
    const hit = words.filter((_, at) => starts[at] >= from && starts[at] < to);
    if (hit.length === 0) return found;
    found.push(Object.assign(match, { words: hit.map((word) => ({ ...word })) }));
    for (const word of hit) word.used = true;
  }
}

/** What was not used, in runs: a comma or a used word ends a run.
 * @param {Word[]} words @returns {Word[][]} */
export function leftOver(words) {
  /** @type {Word[][]} */
  const runs = [[]];
  for (const word of words) {
    if (word.used || word.code === ",") runs.push([]);
    else runs[runs.length - 1].push(word);
  }
  return runs.filter((run) => run.length > 0);
}
