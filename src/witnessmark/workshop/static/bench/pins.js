/**
 * PINs on the phone, with or without the workshop: checked by the verifier that the workshop gave
 * this phone. Wrong guesses are slowed, and the phone remembers them over a reload.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {{salt: string, rounds: number, device_salt: string, verifier: string}} Verifier
 * @typedef {{right: boolean, wait: number, says: string}} Checked `wait` in milliseconds
 */

/** Wrong guesses before each further one must wait. */
const FREE_GUESSES = 4;
/** The first wait; it doubles with every further wrong guess, up to the longest. [ms] */
const FIRST_WAIT = 30_000;
const LONGEST_WAIT = 3_600_000;

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

/** How long somebody must wait before the next guess. @param {{wrong: number, at: number}} guesses
 * @param {number} now @returns {number} milliseconds */
export function waitAfter({ wrong, at }, now) {
  if (wrong < FREE_GUESSES) return 0;
  const wait = Math.min(LONGEST_WAIT, FIRST_WAIT * 2 ** (wrong - FREE_GUESSES));
  // A clock put back does not shorten the wait.
  return Math.max(0, Math.min(wait, at + wait - now));
}

/** Check the PIN that somebody typed on this phone.
 * @param {Store} store @param {{id: string, name: string, pin: Verifier | null}} person
 * @param {string} typed @returns {Promise<Checked>} */
export async function checkPin(store, person, typed) {
  if (person.pin === null) {
    return { right: false, wait: 0, says: `${person.name} has no PIN on this phone: set one at the workshop` };
  }
  const key = `guesses ${person.id}`;
  const known = await store.read(["me"], (table) => table("me").get(key));
  const guesses = known ?? { wrong: 0, at: 0 };
  const wait = waitAfter(guesses, Date.now());
  if (wait > 0) return { right: false, wait, says: `too many wrong guesses: wait ${Math.ceil(wait / 1000)} s` };
  // The guess counts before it is known to be wrong: a page closed meanwhile gives none for free.
  const counted = { wrong: guesses.wrong + 1, at: Date.now() };
  await store.change(["me"], (table) => table("me").put(counted, key));
  const right = await isPin(person.pin, typed);
  if (right) await store.change(["me"], (table) => table("me").delete(key));
  return { right, wait: 0, says: right ? "right" : "that is not the PIN" };
}
