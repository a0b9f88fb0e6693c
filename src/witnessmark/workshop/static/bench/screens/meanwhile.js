/**
 * What happened meanwhile: said once, when others' entries came in, until it is seen.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { meanwhile } from "../doing/meanwhile.js";
import { h } from "../dom.js";
import { bigButton, lines, more, notice } from "../parts.js";

const FEW = 5;

/** How far somebody has looked at a job on this phone; the first time, all of it.
 * @param {Context} context @returns {Promise<string[]>} */
async function lookedAt({ store, record }) {
  const key = `looked ${record.job}`;
  const known = await store.read(["me"], (/** @type {any} */ table) => table("me").get(key));
  return known ?? keep(store, key, record.graph.heads());
}

/** @param {any} store @param {string} key @param {string[]} heads @returns {Promise<string[]>} */
async function keep(store, key, heads) {
  await store.change(["me"], (/** @type {any} */ table) => table("me").put(heads, key));
  return heads;
}

/** @param {Context} context @returns {Promise<HTMLElement | null>} */
export async function whatHappened(context) {
  const { record, store, known, people } = context;
  const rows = meanwhile(record.state, record.graph, await lookedAt(context), known.pairing.device.id);
  if (rows.length === 0) return null;
  const names = new Map(people.map((/** @type {any} */ each) => [each.id, each.name]));
  const said = rows.map((row) => `${names.get(row.person) ?? row.person}: ${row.says}`).reverse();
  const seen = async () => {
    await keep(store, `looked ${record.job}`, record.graph.heads());
    context.refresh();
  };
  return notice("plain", h("b", {}, `Meanwhile, by others: ${rows.length}`),
    lines(said.slice(0, FEW)),
    said.length > FEW ? more("All of it", lines(said.slice(FEW))) : null,
    bigButton("SEEN", seen, { "data-tap": "meanwhile", "data-key": "meanwhile" }));
}
