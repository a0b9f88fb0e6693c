/**
 * Commitments: how an event holds what somebody may one day have deleted.
 *
 * An event names the digest of a personal text together with a random salt. While both are kept
 * anybody can check that the text is the one that was written; once they are deleted nobody can
 * find the text by trying, and the chains of events stay whole.
 */

import { canonicalBytes, digest } from "./canonical.js";

/** Bytes of a salt at the least; the caller draws them at random. */
export const SHORTEST_SALT = 16;

/** The commitment to a text under a salt.
 * @param {Uint8Array} salt @param {string} says @returns {Promise<string>}
 * @throws {RangeError} if the salt is too short to keep a short text from being found by trying
 * @throws {import("./canonical.js").NotCanonicalError} if the text has no canonical form */
export async function commitment(salt, says) {
  if (salt.length < SHORTEST_SALT) {
    throw new RangeError(`a salt of ${salt.length} bytes; ${SHORTEST_SALT} is the least`);
  }
  return digest(canonicalBytes({ salt: hex(salt), says }));
}

/** Whether a text is the one that was committed to.
 * @param {string} promised @param {Uint8Array} salt @param {string} says
 * @returns {Promise<boolean>} */
export const keepsWord = async (promised, salt, says) =>
  salt.length >= SHORTEST_SALT && (await commitment(salt, says)) === promised;

/** Bytes in lower-case hex, as the server is told a salt. @param {Uint8Array} bytes */
export const hex = (bytes) =>
  Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
