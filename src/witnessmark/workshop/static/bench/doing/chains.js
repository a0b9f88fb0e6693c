/**
 * Ways through the rule book: which actions, one after the other, lead to a state.
 *
 * @typedef {import("../../ledger/book.js").Row} Row
 * @typedef {import("../../ledger/book.js").Book} Book
 */

/** The shortest chain of actions that ends with the one wanted, or at its state. The wanted one
 * alone, where no chain is known: a fact is written down, whatever rule it breaks.
 * @param {Book} book @param {string} kind @param {string} here @param {Row} wanted
 * @returns {string[]} */
export function chainTo(book, kind, here, wanted) {
  if (wanted.sources.includes(here)) return [wanted.id];
  /** @type {Row[]} */
  const usable = book.rules.actions.filter(
    (/** @type {Row} */ each) => each.kind === kind && isAlong(each, wanted),
  );
  /** @type {[string, string[]][]} */
  const paths = [[here, []]];
  const seen = new Set([here]);
  for (const [at, path] of paths) {
    if (path.length > 0 && (at === wanted.target || wanted.sources.includes(at))) {
      return at === wanted.target ? path : [...path, wanted.id];
    }
    for (const each of usable) {
      if (!each.sources.includes(at) || seen.has(each.target)) continue;
      seen.add(each.target);
      paths.push([each.target, [...path, each.id]]);
    }
  }
  return [wanted.id];
}

/** Whether an action may be a link of a chain: of the same half, or the one that begins a
 * pattern again; never one that loses count or turns for a moment.
 * @param {Row} each @param {Row} wanted */
function isAlong(each, wanted) {
  if (each.id === "begin-again") return wanted.half === "refit";
  return each.half === wanted.half && each.target !== "unknown" && each.half !== "act";
}
