/**
 * PINs on the phone: checked by the workshop where it answers at once, else on the phone by the
 * verifier that the workshop gave this phone. The record says which of the two it was.
 *
 * On the phone five wrong guesses shut a person's PIN until the workshop was reached and found it
 * right. That holds off whoever has the phone in hand; whoever reads its storage can try all
 * PINs of six figures on the verifier itself.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {{salt: string, rounds: number, device_salt: string, verifier: string}} Verifier
 * @typedef {{right: boolean, where: string | null, lockedUntil: number | "reached" | null,
 *   says: string}} Checked `where` goes into the record as `values.pin`; `lockedUntil` is a
 *   moment of the workshop's clock, or "reached": until the workshop is reached
 */

import { me } from "./me.js";

export const BY_THE_WORKSHOP = "checked by the workshop";
export const ON_THE_PHONE = "checked on the phone";

/** Wrong guesses on the phone alone before a PIN is shut. */
const FREE_GUESSES = 5;
/** How long the workshop may take before the phone checks by itself. [ms] */
const PATIENCE = 4000;

/** Check the PIN that somebody typed on this phone.
 * @param {Store} store @param {{id: string, name: string, pin: Verifier | null}} person
 * @param {string} typed @returns {Promise<Checked>} */
export async function checkPin(store, person, typed) {
  const key = `guesses ${person.id}`;
  const wrongBefore = await count(store, key);
  const said = await askWorkshop(store, person.id, typed);
  const checked = said === null
    ? await checkHere(person, typed, wrongBefore)
    : answer(said.right, BY_THE_WORKSHOP, said.locked_until);
  if (checked.right) await store.change(["me"], (table) => table("me").delete(key));
  return checked;
}

/** Count a guess before it is known to be wrong: a page closed meanwhile gives none for free.
 * @param {Store} store @param {string} key @returns {Promise<number>} wrong ones before it */
const count = (store, key) =>
  store.change(["me"], async (table) => {
    const wrong = (await table("me").get(key)) ?? 0;
    await table("me").put(wrong + 1, key);
    return wrong;
  });

/** @param {Store} store @param {string} member @param {string} pin
 * @returns {Promise<{right: boolean, locked_until: number | null} | null>} null: it did not say */
async function askWorkshop(store, member, pin) {
  const { pairing } = await me(store);
  if (pairing === null) return null;
  try {
    const response = await fetch("/api/pin", {
      method: "POST",
      credentials: "omit",
      headers: { Authorization: `Bearer ${pairing.secret}`, "Content-Type": "application/json" },
      body: JSON.stringify({ member, pin }),
      signal: AbortSignal.timeout(PATIENCE),
    });
    const said = await response.json();
    return response.ok && typeof said.right === "boolean" ? said : null;
  } catch {
    return null; // not reached, or what answered is not the workshop
  }
}

/** @param {{name: string, pin: Verifier | null}} person @param {string} typed
 * @param {number} wrongBefore @returns {Promise<Checked>} */
async function checkHere({ name, pin }, typed, wrongBefore) {
  if (wrongBefore >= FREE_GUESSES) return answer(false, null, "reached");
  if (pin === null) {
    return { ...answer(false, null), says: `${name} has no PIN on this phone: set one at the workshop` };
  }
  if (!globalThis.crypto?.subtle) {
    return { ...answer(false, null), says: "a PIN cannot be checked here: open the bench at its https address" };
  }
  const right = await isPin(pin, typed);
  return answer(right, ON_THE_PHONE, !right && wrongBefore + 1 >= FREE_GUESSES ? "reached" : null);
}

/** @param {boolean} right @param {string | null} where @param {number | "reached" | null} lockedUntil
 * @returns {Checked} */
function answer(right, where, lockedUntil = null) {
  let says = right ? "right" : "that is not the PIN";
  if (lockedUntil === "reached") says = "too many wrong guesses: shut until the workshop is reached";
  else if (lockedUntil !== null) says = `not right, or too many wrong guesses: the next is looked at after ${clock(lockedUntil)}`;
  return { right, where: right ? where : null, lockedUntil, says };
}

/** @param {number} moment @returns {string} */
const clock = (moment) => new Date(moment).toLocaleTimeString("en-GB");

/** Whether a typed PIN is the one that a verifier was made from.
 * @param {Verifier} verifier @param {string} typed @returns {Promise<boolean>} */
export async function isPin({ salt, rounds, device_salt: deviceSalt, verifier }, typed) {
  const material = await crypto.subtle.importKey(
    "raw", new TextEncoder().encode(typed), "PBKDF2", false, ["deriveBits"],
  );
  const stretching = { name: "PBKDF2", hash: "SHA-256", salt: bytesOf(salt), iterations: rounds };
  const stretched = await crypto.subtle.deriveBits(stretching, material, 256);
  const hmac = { name: "HMAC", hash: "SHA-256" };
  const key = await crypto.subtle.importKey("raw", stretched, hmac, false, ["verify"]);
  return crypto.subtle.verify("HMAC", key, bytesOf(verifier), bytesOf(deviceSalt));
}

/** @param {string} hex @returns {Uint8Array<ArrayBuffer>} */
const bytesOf = (hex) => Uint8Array.from(hex.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
