/**
 * A reading as a sentence, shown back to whoever said the line.
 * @typedef {import("./line.js").Reading} Reading
 * @typedef {import("./line.js").Group} Group
 */

/** The sentence of a reading; empty where nothing was understood. @param {Reading} reading */
export function sentenceOf(reading) {
  const said = [
    reading.name,
    reading.where,
    fastenersOf(reading),
    ...reading.groups.filter((group) => group.which !== null).map(groupText),
    reading.different === null ? null : `${reading.different} lengths`,
    reading.head === null ? null : `head ${reading.head}`,
    reading.hand === null ? null : `${reading.hand}-hand thread`,
    reading.singleUse ? "single use" : null,
    reading.threadlocked ? "threadlocked" : null,
    reading.place === null ? null : `kept: ${reading.place}`,
  ];
  return said.filter((each) => each !== null && each !== "").join(", ");
}

/** How many of what. @param {Reading} reading */
function fastenersOf(reading) {
  const { count, thread, groups } = reading;
  const sized = groups.filter((group) => group.which === null);
  const said = sized.map(groupText).join(" and ");
  const sum = sized.reduce((all, group) => all + (group.count ?? 0), 0);
  const whole = sized.every((group) => group.count !== null) && sum === count;
  if (count === null || (sized.length > 0 && whole)) {
    return [said || thread, named(reading, count ?? 0)].filter(Boolean).join(" ");
  }
  const all = [count, thread, named(reading, count)].filter(Boolean).join(" ");
  return said === "" ? all : `${all}, ${said}`;
}

/** The word for the fasteners, where one was said. @param {Reading} reading @param {number} count */
function named({ fastener }, count) {
  if (fastener === null) return count > 0 ? plural("fastener", count) : "";
  return plural(fastener, count);
}

/** @param {string} noun @param {number} count */
const plural = (noun, count) => (count === 1 ? noun : `${noun}s`);

/** One group: `4 M6 x 20 mm`, `1 longer at the bottom`. @param {Group} group */
export function groupText({ count, thread, length, which }) {
  const size = [thread, length === null ? null : `${length} mm${thread === null ? " long" : ""}`]
    .filter((each) => each !== null)
    .join(" x ");
  return [count, size || null, which].filter((each) => each !== null).join(" ");
}
