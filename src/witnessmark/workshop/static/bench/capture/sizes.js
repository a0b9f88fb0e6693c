/** Sizes as they are said, written one way: threads with their lengths, and heads. */

/** No bolt is shorter under its head, in mm: a smaller figure is a pitch or a slip. */
export const SHORTEST = 3;

/** A thread and its length from what a pattern caught; null where no such thread is made.
 *
 * Of two figures after M6 the first is the pitch; of one, it is the pitch where it can be.
 * @param {(string | undefined)[]} caught diameter, first, second, inch size, threads, series, pipe
 * @returns {{thread: string, length: string | null} | null} */
export function threadOf([diameter, first, second, inch, perInch, series, pipe]) {
  if (pipe !== undefined) return { thread: `G ${pipe}`, length: null };
  if (inch !== undefined) {
    const threads = perInch === undefined ? "" : `-${perInch}`;
    return { thread: `${inch}${threads} ${String(series).toUpperCase()}`, length: null };
  }
  const size = Number(diameter);
  if (!(size >= 1 && size <= 64)) return null;
  const isPitch = first !== undefined && Number(first) > 0 && Number(first) * 2 < size && Number(first) <= 6;
  if (second !== undefined && !isPitch) return null;
  const length = isPitch ? second : first;
  if (length !== undefined && Number(length) < SHORTEST) return null;
  const thread = isPitch ? `M${plain(diameter)}x${plain(first)}` : `M${plain(diameter)}`;
  return { thread, length: length === undefined ? null : plain(length) };
}

/** A figure without noughts that say nothing. @param {string | undefined} figure */
export const plain = (figure) => String(Number(figure));

const KINDS = new Map([
  ["hexagon", "hex"], ["hex", "hex"], ["spanner", ""], ["socket", ""], ["key", "key"],
  ["allen", "key"], ["torx", "T"], ["star", "T"], ["spline", "spline"], ["bihex", "bi-hex"],
  ["bi-hex", "bi-hex"],
]);
const WORDS = new Map([
  ["phillips", "cross"], ["crosshead", "cross"], ["cross head", "cross"], ["pozi", "cross"],
  ["slotted", "slot"], ["flat blade", "slot"],
  ["cross", "cross"], ["slot", "slot"],
]);

/** A head from what a pattern caught: the first figure, and the first kind.
 * @param {(string | undefined)[]} caught @returns {string} */
export function headOf(caught) {
  const said = caught.filter((each) => each !== undefined).map(String);
  const word = said.find((each) => WORDS.has(each));
  if (word !== undefined) return /** @type {string} */ (WORDS.get(word));
  const size = plain(said.find((each) => /^\d/.test(each)));
  const letter = said.find((each) => /^[te]$/.test(each));
  if (letter !== undefined) return `${letter.toUpperCase()}${size}`;
  const kind = KINDS.get(said.find((each) => KINDS.has(each)) ?? "") ?? "";
  if (kind === "T") return `T${size}`;
  return kind === "" ? `${size} mm` : `${kind} ${size} mm`;
}
