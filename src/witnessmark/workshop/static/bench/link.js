/**
 * The way to the workshop: requests that end, with the phone's secret.
 *
 * @typedef {{[key: string]: any}} Row
 */

/** How long the workshop may take to answer before the phone goes on without it. [ms] */
export const PATIENCE = 8000;
/** Bytes that a slow network is given a further millisecond for. */
const SLOW_NETWORK = 64;

/** The workshop cannot be reached now, or not make anything of it; it is tried again. */
export class UnreachedError extends Error {}

/** The workshop answered, and did not do it. */
export class AnsweredNoError extends Error {
  /** @param {number} status @param {string} says */
  constructor(status, says) {
    super(says);
    this.status = status;
  }

  /** Whether it was for who asked, not for what was asked. */
  get isForWho() {
    return [401, 403, 404].includes(this.status);
  }
}

/** Requests to the workshop by one phone. */
export class Link {
  /** @param {string} secret */
  constructor(secret) {
    this.head = { Authorization: `Bearer ${secret}` };
  }

  /** @param {string} path @returns {Promise<any>} */
  get = (path) => this.#json(path, "GET", null, "application/json");

  /** @param {string} path @param {Row} body @returns {Promise<any>} */
  post = (path, body) => this.#json(path, "POST", JSON.stringify(body), "application/json");

  /** @param {string} path @param {ArrayBuffer | string} body @returns {Promise<any>} */
  put = (path, body) => this.#json(path, "PUT", body, "application/octet-stream");

  /** Bytes as they lie there, for instance of a pack or a photo.
   * @param {string} path @returns {Promise<{bytes: ArrayBuffer, type: string}>} */
  async bytes(path) {
    const answer = await this.#ask(path, "GET", null, "*/*");
    return { bytes: await ended(answer.arrayBuffer()), type: answer.headers.get("Content-Type") ?? "" };
  }

  /** @param {string} path @param {string} method @param {any} body @param {string} type */
  async #json(path, method, body, type) {
    const answer = await this.#ask(path, method, body, type);
    // A page that some other network puts in the way is no answer of the workshop's.
    return ended(answer.json());
  }

  /** @param {string} path @param {string} method @param {any} body @param {string} type
   * @returns {Promise<Response>} */
  async #ask(path, method, body, type) {
    const size = body === null ? 0 : body.byteLength ?? body.length;
    const answer = await ended(fetch(path, {
      method, body, credentials: "omit", cache: "no-store",
      headers: { ...this.head, ...(body === null ? { Accept: type } : { "Content-Type": type }) },
      signal: AbortSignal.timeout(PATIENCE + size / SLOW_NETWORK),
    }));
    if (answer.ok) return answer;
    if (answer.status >= 500 || [408, 425, 429].includes(answer.status)) {
      throw new UnreachedError(`the workshop is busy (${answer.status})`);
    }
    throw new AnsweredNoError(answer.status, await saidIn(answer));
  }
}

/** @template T @param {Promise<T>} asking @returns {Promise<T>} */
async function ended(asking) {
  try {
    return await asking;
  } catch (error) {
    throw new UnreachedError(String(error));
  }
}

/** @param {Response} answer @returns {Promise<string>} */
async function saidIn(answer) {
  const said = await answer.json().catch(() => null);
  const detail = said?.detail;
  if (typeof detail === "string") return detail;
  return Array.isArray(detail) && typeof detail[0]?.msg === "string"
    ? detail[0].msg
    : `the workshop answered ${answer.status}`;
}
