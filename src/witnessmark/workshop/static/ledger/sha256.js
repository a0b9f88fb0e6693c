/**
 * SHA-256 (FIPS 180-4) of bytes, as lower-case hex.
 *
 * The browser's own is used where it may be: it exists only in a secure context. A page
 * opened over plain HTTP on a workshop's network is none, so there is a plain one beside it.
 */

const HEX = Array.from({ length: 256 }, (_, byte) => byte.toString(16).padStart(2, "0"));

/**
 * @param {Uint8Array} bytes
 * @returns {Promise<string>} 64 lower-case hexadecimal digits
 */
export async function sha256(bytes) {
  const subtle = globalThis.crypto?.subtle;
  if (subtle === undefined) return plainSha256(bytes);
  return hex(new Uint8Array(await subtle.digest("SHA-256", bytes)));
}

/**
 * The same without the browser's help, step by step as FIPS 180-4 section 6.2 writes it.
 * @param {Uint8Array} bytes
 * @returns {string}
 */
export function plainSha256(bytes) {
  const state = Uint32Array.from(INITIAL);
  const padded = withPadding(bytes);
  const schedule = new Uint32Array(64);
  const view = new DataView(padded.buffer);
  for (let start = 0; start < padded.length; start += 64) {
    for (let t = 0; t < 16; t += 1) schedule[t] = view.getUint32(start + 4 * t);
    block(state, schedule);
  }
  const out = new DataView(new ArrayBuffer(32));
  state.forEach((word, index) => out.setUint32(4 * index, word));
  return hex(new Uint8Array(out.buffer));
}

/** @param {Uint8Array} bytes */
function hex(bytes) {
  let text = "";
  for (const byte of bytes) text += HEX[byte];
  return text;
}

/** The first `count` primes. @param {number} count */
function primes(count) {
  /** @type {number[]} */
  const found = [];
  for (let n = 2; found.length < count; n += 1) {
    if (found.every((prime) => n % prime !== 0)) found.push(n);
  }
  return found;
}

/** The first 32 bits behind the point. @param {number} value */
const fraction = (value) => Math.floor((value % 1) * 2 ** 32);

// Sections 4.2.2 and 5.3.3: from the cube and square roots of the first primes.
const CONSTANTS = Uint32Array.from(primes(64), (prime) => fraction(Math.cbrt(prime)));
const INITIAL = Uint32Array.from(primes(8), (prime) => fraction(Math.sqrt(prime)));

/** Section 5.1.1. @param {Uint8Array} bytes */
function withPadding(bytes) {
  const padded = new Uint8Array(Math.ceil((bytes.length + 9) / 64) * 64);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(padded.length - 4, (bytes.length * 8) >>> 0);
  return padded;
}

/** @param {number} word @param {number} by */
const turned = (word, by) => (word >>> by) | (word << (32 - by));

/** Section 6.2.2, one block. @param {Uint32Array} state @param {Uint32Array} schedule */
function block(state, schedule) {
  for (let t = 16; t < 64; t += 1) {
    const low = schedule[t - 15];
    const high = schedule[t - 2];
    const s0 = turned(low, 7) ^ turned(low, 18) ^ (low >>> 3);
    const s1 = turned(high, 17) ^ turned(high, 19) ^ (high >>> 10);
    schedule[t] = schedule[t - 16] + s0 + schedule[t - 7] + s1;
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let t = 0; t < 64; t += 1) {
    const sum1 = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
    const first = (h + sum1 + ((e & f) ^ (~e & g)) + CONSTANTS[t] + schedule[t]) | 0;
    const sum0 = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
    const second = (sum0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + first) | 0, c, b, a, (first + second) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, index) => {
    state[index] += word;
  });
}
