/**
 * When the phone sends and fetches: soon after every act, and again until it is acknowledged.
 *
 * On a timer, on coming back to the network or the screen, and on being asked; never by the
 * browser's own background sending, which some phones lack. One tab at a time.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./me.js").Standing} Standing
 * @typedef {{waiting: number, refused: number, sending: boolean, reached: boolean | null,
 *   says: string | null, standing: Standing | null, kept: boolean | null}} Counts what waits,
 *   what was refused, whether it is being sent, whether the workshop was reached when last tried
 *   and if not why, whether it revoked this phone, whether the browser promised to keep all this
 */

import { fetchJob, fetchJobs, fetchPhoto, hear, notice } from "./incoming.js";
import { AnsweredNoError, Link, UnreachedError } from "./link.js";
import { me } from "./me.js";
import { sendRefusedAgain, sendWaiting } from "./outgoing.js";
import { photoHere } from "./photos.js";

const LOCK = "witnessmark sending";
/** Between one round and the next while all goes well, and at the most when not. [ms] */
const EVERY = 15_000;
const AT_MOST = 60_000;
const FIRST_RETRY = 2000;
/** Many phones come back at once when the network does: none sends at that very moment. [ms] */
const SPREAD = 5000;
/** Taps that follow one another are sent together. [ms] */
const SOON = 60;
/** How often a phone asks who it is, while nothing else tells it to. [ms] */
const HEAR_EVERY = 60_000;

/** Begin to send and fetch for as long as the page is open.
 * @param {Store} store @returns {Sender} */
export function startSending(store) {
  const sender = new Sender(store);
  sender.start();
  return sender;
}

/** Tells `counts` (with all of them as detail), `refused` and `arrived` (with the job). */
export class Sender extends EventTarget {
  #store;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;
  #due = Infinity;
  #failures = 0;
  #heardAt = -Infinity;
  /** @type {Promise<void> | null} */
  #running = null;
  /** @type {Map<string, number>} jobs that are looked at, and by how many */
  #watched = new Map();
  /** @type {Counts} */
  counts = {
    waiting: 0, refused: 0, sending: false, reached: null, says: null, standing: null, kept: null,
  };

  /** @param {Store} store */
  constructor(store) {
    super();
    this.#store = store;
  }

  /** Listen for whatever makes it worth trying, and try. */
  start() {
    this.#store.addEventListener("wrote", () => this.#wrote());
    this.#store.addEventListener("sent", () => this.#count());
    this.#store.addEventListener("me", (event) => this.#met(/** @type {CustomEvent} */ (event)));
    this.#store.addEventListener("arrived", (event) => {
      const { detail } = /** @type {CustomEvent} */ (event);
      this.dispatchEvent(new CustomEvent("arrived", { detail }));
    });
    window.addEventListener("online", () => this.#soon(Math.random() * SPREAD));
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.#soon(SOON);
    });
    void this.#count();
    this.#soon(SOON);
  }

  /** Send and fetch now, as a person asked for it. It resolves when all was tried.
   * @returns {Promise<Counts>} */
  async sendNow() {
    await this.#running;
    this.#heardAt = -Infinity;
    await this.#round();
    return this.counts;
  }

  /** Let what was refused wait again, and send it. @returns {Promise<Counts>} */
  async sendRefusedAgain() {
    await sendRefusedAgain(this.#store);
    return this.sendNow();
  }

  /** Fetch a job now, to open it. @param {string} job
   * @throws {UnreachedError | AnsweredNoError} if the workshop cannot be reached, or does not give it */
  async fetchJob(job) {
    await fetchJob(this.#store, await this.#link(), job);
  }

  /** A photo of a job: the phone's own copy, else the workshop's, kept from then on.
   * @param {string} job @param {string} id @returns {Promise<Blob | null>} */
  async photo(job, id) {
    const here = await photoHere(this.#store, job, id);
    if (here !== null) return here;
    try {
      return await fetchPhoto(this.#store, await this.#link(), job, id);
    } catch (error) {
      if (error instanceof UnreachedError) return null;
      throw error;
    }
  }

  /** Fetch a job in every round while somebody looks at it; call what this gives to end that.
   * @param {string} job @returns {() => void} */
  watch(job) {
    this.#watched.set(job, (this.#watched.get(job) ?? 0) + 1);
    return () => this.#watched.set(job, (this.#watched.get(job) ?? 1) - 1);
  }

  /** @param {CustomEvent} event what is known of the phone is another */
  #met({ detail }) {
    void this.#count();
    if (!detail.words?.includes("pairing")) return;
    this.#heardAt = -Infinity; // ask the workshop at once who this phone is now
    this.#soon(SOON);
  }

  #wrote() {
    void this.#count();
    // While the workshop cannot be reached, taps do not hurry what is tried again anyway.
    if (this.#failures === 0) this.#soon(SOON);
  }

  /** @param {number} wait milliseconds; what is due earlier stays so */
  #soon(wait) {
    const due = performance.now() + wait;
    if (due >= this.#due) return;
    clearTimeout(this.#timer);
    this.#due = due;
    this.#timer = setTimeout(() => this.#round(), wait);
  }

  /** One round, unless this or another tab is at it. @returns {Promise<void>} */
  #round() {
    this.#due = Infinity;
    clearTimeout(this.#timer);
    this.#running ??= navigator.locks
      .request(LOCK, { ifAvailable: true }, (lock) => (lock === null ? undefined : this.#try()))
      .finally(async () => {
        this.#running = null;
        await this.#count();
        this.#soon(await this.#pause());
      });
    return this.#running;
  }

  /** How long until the next round: longer after every failure, and never the same for all. */
  async #pause() {
    if (this.#failures > 0) {
      return Math.min(AT_MOST, FIRST_RETRY * 2 ** (this.#failures - 1)) * (0.5 + Math.random());
    }
    const mayGo = this.counts.standing !== "unknown" && this.counts.waiting > 0;
    return mayGo ? FIRST_RETRY : EVERY * (0.8 + 0.4 * Math.random());
  }

  async #try() {
    const { pairing } = await me(this.#store);
    if (pairing === null) return;
    await this.#count({ sending: true });
    try {
      await this.#sendAndFetch(new Link(pairing.secret));
      this.#failures = 0;
      Object.assign(this.counts, { reached: true, says: null });
    } catch (error) {
      this.#failures += 1;
      Object.assign(this.counts, { reached: false, says: String(error) });
      if (!(error instanceof UnreachedError) && !(error instanceof AnsweredNoError)) throw error;
    } finally {
      this.counts.sending = false;
    }
  }

  /** @param {Link} link */
  async #sendAndFetch(link) {
    const known = await me(this.#store);
    let standing = known.standing ?? "paired";
    if (performance.now() - this.#heardAt > HEAR_EVERY || standing !== "paired") {
      standing = await this.#hear(link);
    }
    try {
      await this.#send(link, standing);
      if (standing === "paired") await this.#fetch(link);
    } catch (error) {
      if (!(error instanceof AnsweredNoError) || !error.isForWho) throw error;
      standing = await this.#hear(link);
      await this.#send(link, standing);
    }
  }

  /** @param {Link} link @returns {Promise<Standing>} */
  async #hear(link) {
    const standing = await hear(this.#store, link);
    this.#heardAt = performance.now();
    return standing;
  }

  /** @param {Link} link @param {Standing} standing */
  async #send(link, standing) {
    if (standing === "unknown") return;
    const sure = performance.now() - this.#heardAt < 1000;
    const epoch = await sendWaiting(this.#store, link, { revoked: standing === "revoked", sure });
    if (epoch !== null && (await notice(this.#store, epoch))) await this.#send(link, standing);
  }

  /** @param {Link} link */
  async #fetch(link) {
    const watched = [...this.#watched].filter(([, times]) => times > 0).map(([job]) => job);
    await fetchJobs(this.#store, link, new Set(watched));
  }

  async #link() {
    const { pairing } = await me(this.#store);
    if (pairing === null) throw new UnreachedError("this phone is not paired with a workshop");
    return new Link(pairing.secret);
  }

  /** Count again, and tell. @param {Partial<Counts>} also */
  async #count(also = {}) {
    const before = this.counts;
    const [waiting, refused, standing, kept] = await this.#store.read(
      ["outbox", "refused", "me"], (table) => Promise.all([
        table("outbox").count(), table("refused").count(),
        table("me").get("standing"), table("me").get("kept"),
      ]));
    this.counts = {
      ...this.counts, waiting, refused, standing: standing ?? null, kept: kept ?? null, ...also,
    };
    this.dispatchEvent(new CustomEvent("counts", { detail: this.counts }));
    if (refused > before.refused) this.dispatchEvent(new CustomEvent("refused", { detail: this.counts }));
  }
}
