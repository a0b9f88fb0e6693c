/** Answers the questions of the tests on canonical bytes. */
import { canonicalBytes, digest, readCanonical } from "/static/ledger/canonical.js";
import { plainSha256 } from "/static/ledger/sha256.js";

const bytesOf = (base64) => Uint8Array.from(atob(base64), (each) => each.charCodeAt(0));
const textOf = (bytes) => new TextDecoder().decode(bytes);

/** Write each value; give its text and digest, or why it has none. */
export async function write(texts) {
  const answers = [];
  for (const text of texts) {
    try {
      const bytes = canonicalBytes(JSON.parse(text));
      answers.push({ text: textOf(bytes), digest: await digest(bytes) });
    } catch (error) {
      answers.push({ refused: error.constructor.name });
    }
  }
  return answers;
}

/** Read each run of bytes; tell whether it is canonical. */
export function read(runs) {
  return runs.map((base64) => {
    try {
      return textOf(canonicalBytes(readCanonical(bytesOf(base64))));
    } catch (error) {
      return { refused: error.constructor.name };
    }
  });
}

/** Hash each run of bytes both ways. */
export async function hashes(runs) {
  const found = [];
  for (const base64 of runs) {
    found.push([plainSha256(bytesOf(base64)), await digest(bytesOf(base64))]);
  }
  return found;
}
