/**
 * Texts that somebody may one day have deleted: a plate, a name, what a customer said.
 *
 * The text lies apart; an entry holds only its seal. So it can be deleted without a mark on
 * the chains.
 *
 * @typedef {import("./store.js").Store} Store
 */

import { SHORTEST_SALT, commitment, hex } from "../ledger/commitments.js";
import { wait } from "./store.js";

/** Keep a private text of a job, to be sent beside its entries; give its seal, which is what
 * an entry may hold. @param {Store} store @param {string} job
 * @param {string} kind what it is, in small letters: `plate`, `owner`
 * @param {string} says @returns {Promise<string>} */
export async function keepPrivate(store, job, kind, says) {
  const text = says.toWellFormed().normalize("NFC");
  const salt = crypto.getRandomValues(new Uint8Array(SHORTEST_SALT));
  const seal = await commitment(salt, text);
  await store.change(["private", "outbox"], async (table) => {
    await table("private").put({ commitment: seal, job, kind, salt: hex(salt), says: text });
    await wait(table("outbox"), "private", job, seal);
  });
  store.tell("wrote", { job });
  return seal;
}

/** The private texts of this phone's own that belong to a seal; null where it has none.
 * @param {Store} store @param {string} seal @returns {Promise<string | null>} */
export const privateHere = (store, seal) =>
  store.read(["private"], async (table) => (await table("private").get(seal))?.says ?? null);
