/**
 * The one form in which events and packs are written, so that all devices hash the same bytes.
 *
 * JSON in UTF-8 with nothing left open: no white space, keys in the order of their Unicode
 * code points, only the escapes that JSON insists on, whole numbers a double holds exactly,
 * text in normal form C. There are no fractions: decimals are strings.
 */

import { sha256 } from "./sha256.js";

/** How deep arrays and objects may lie in one another. */
export const DEEPEST = 32;

/**
 * @typedef {null | boolean | number | string | Plain[] | {[key: string]: Plain}} Plain
 */

/** A value or text that has no canonical form; `message` says why. */
export class NotCanonicalError extends Error {}

/**
 * @param {Plain} value
 * @returns {Uint8Array}
 * @throws {NotCanonicalError}
 */
export function canonicalBytes(value) {
  return new TextEncoder().encode(canonicalText(value));
}

/**
 * The same as text, which is what a browser can search and compare.
 * @param {Plain} value
 * @returns {string}
 */
export function canonicalText(value) {
  return written(value, 0);
}

/**
 * Read bytes that must be canonical: they are refused if writing them again gives others.
 * @param {Uint8Array} bytes
 * @returns {Plain}
 * @throws {NotCanonicalError}
 */
export function readCanonical(bytes) {
  let text;
  try {
    text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new NotCanonicalError("these bytes are not UTF-8");
  }
  let value;
  try {
    value = JSON.parse(text);
  } catch {
    throw new NotCanonicalError("these bytes are not JSON");
  }
  if (canonicalText(value) !== text) {
    throw new NotCanonicalError("these bytes are not in the one canonical form");
  }
  return value;
}

/**
 * @param {Uint8Array} bytes
 * @returns {Promise<string>} SHA-256 in lower-case hex
 */
export function digest(bytes) {
  return sha256(bytes);
}

/**
 * Compare texts by code point. The language's own order goes by UTF-16 units, which puts
 * what lies above U+FFFF before U+E000 to U+FFFF.
 * @param {string} left
 * @param {string} right
 * @returns {number} below zero, zero or above, as a sort wants it
 */
export function byCodePoint(left, right) {
  const shorter = Math.min(left.length, right.length);
  for (let index = 0; index < shorter; index += 1) {
    const [a, b] = [left.charCodeAt(index), right.charCodeAt(index)];
    if (a !== b) return lifted(a) - lifted(b);
  }
  return left.length - right.length;
}

/** Lift surrogates above all other units, where the code points they stand for belong. */
const lifted = (/** @type {number} */ unit) =>
  unit >= 0xd800 && unit <= 0xdfff ? unit + 0x10000 : unit;

/**
 * @param {Plain} value
 * @param {number} depth how many arrays and objects lie around it
 * @returns {string}
 */
function written(value, depth) {
  if (value === null || value === true || value === false) return String(value);
  if (typeof value === "string") return quoted(value);
  if (typeof value === "number") return whole(value);
  if (typeof value !== "object") throw new NotCanonicalError(`a ${typeof value} has no form`);
  if (depth >= DEEPEST) throw new NotCanonicalError(`deeper than ${DEEPEST}`);
  if (Array.isArray(value)) {
    return `[${Array.from(value, (each) => written(each, depth + 1)).join(",")}]`;
  }
  const rows = Object.keys(value)
    .sort(byCodePoint)
    .map((key) => `${quoted(key)}:${written(value[key], depth + 1)}`);
  return `{${rows.join(",")}}`;
}

/** @param {number} value */
function whole(value) {
  if (!Number.isSafeInteger(value)) {
    throw new NotCanonicalError(`${value} is no whole number within 2^53: decimals are strings`);
  }
  return String(value);
}

/** @param {string} text */
function quoted(text) {
  if (/\p{Surrogate}/u.test(text)) throw new NotCanonicalError("half a character");
  if (text.normalize("NFC") !== text) throw new NotCanonicalError(`'${text}' is not in form C`);
  return `"${text.replace(/["\\\u0000-\u001f]/g, escaped)}"`;
}

/** @param {string} character */
function escaped(character) {
  if (character === '"' || character === "\\") return `\\${character}`;
  return `\\u${character.charCodeAt(0).toString(16).padStart(4, "0")}`;
}
