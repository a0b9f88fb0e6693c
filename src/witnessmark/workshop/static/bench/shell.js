/**
 * What stands around every screen: the record that is open, who holds the phone, what waits.
 *
 * A screen is drawn anew when something was written or came in, except while it asks something.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./sending.js").Sender} Sender
 * @typedef {import("./records.js").JobRecord} JobRecord
 * @typedef {import("./editions.js").Editions} Editions
 * @typedef {import("./router.js").Context} Context
 */

import { EventRefusedError } from "../ledger/events.js";
import { fill, h } from "./dom.js";
import { jobHead, plainHead } from "./head.js";
import { UnreachedError } from "./link.js";
import { person, me } from "./me.js";
import { button, clockTime, notice } from "./parts.js";
import { photosSince } from "./photos_here.js";
import { RecordError, keepPhoto, openRecord } from "./records.js";
import { found, go } from "./router.js";
import { Session } from "./session.js";
import { glareAsKept, switchGlare } from "./glare.js";
import { paintAs } from "./paint.js";

/** Why a job is not opened, for the person. @param {unknown} error @returns {string} */
function whyNotOpened(error) {
  if (error instanceof UnreachedError) {
    return "This job is not on this phone yet, and the workshop cannot be reached from here.";
  }
  return error instanceof Error ? error.message : String(error);
}

export class Shell {
  /** @type {JobRecord | null} */
  #record = null;
  /** @type {(() => void) | null} */
  #unwatch = null;
  /** @type {Map<string, Session>} */
  #sessions = new Map();
  #shown = "";
  #number = 0;
  #pressed = false;
  #postponed = false;
  /** Counts openings: of two at once the later counts. */
  #turn = 0;

  /** @param {HTMLElement} bench
   * @param {{store: Store, sender: Sender, editions: Editions}} kept
   * @param {{[word: string]: any}} known what is known of this phone */
  constructor(bench, { store, sender, editions }, known) {
    this.store = store;
    this.sender = sender;
    this.editions = editions;
    this.known = known;
    this.bench = bench;
    this.head = h("div", { id: "head" });
    this.root = h("div", { id: "screen" });
    this.alarm = h("div", { id: "alarm", role: "alert" });
    fill(bench, this.head, this.alarm, this.root);
    glareAsKept();
  }

  /** Draw anew whenever the address changes, something is written, or something comes in. */
  listen() {
    window.addEventListener("hashchange", () => void this.show());
    this.root.addEventListener("pointerdown", () => {
      this.#pressed = true;
      setTimeout(() => this.#released(), 2_000); // where its end is never told
    });
    for (const end of ["pointerup", "pointercancel"]) {
      // The tap itself comes after the finger is up.
      window.addEventListener(end, () => setTimeout(() => this.#released(), 50));
    }
    window.addEventListener("unhandledrejection", (event) => this.#failed(event.reason));
    this.editions.addEventListener("editionWaiting", () => void this.#drawHead());
    this.store.addEventListener("me", async () => {
      this.known = await me(this.store);
      void this.editions.look(this.known.about?.edition);
      this.refresh();
    });
    this.sender.addEventListener("counts", () => void this.#drawHead());
    this.sender.addEventListener("refused", () => void this.#drawHead());
    this.sender.addEventListener("arrived", () => {
      if (this.#record === null) this.refresh();
    });
  }

  /** Draw the screen of the address.
   * @param {boolean} again whether it is there already, and may be left as it is */
  async show(again = false) {
    this.#number += 1;
    const number = this.#number;
    if (!again) delete this.root.dataset.holding;
    const at = found(this.#address());
    if (at === null) return go("#/");
    const opened = await this.#open(at.params.job ?? null);
    if (number !== this.#number) return undefined;
    if (opened !== null) return this.#say(opened);
    await this.#draw(at, number, again);
    return undefined;
  }

  /** The address to show: a phone that is not paired pairs first; then somebody holds it. */
  #address() {
    if (this.known.pairing === null) return "#/pair";
    return window.location.hash || "#/";
  }

  /** @param {NonNullable<ReturnType<typeof found>>} at @param {number} number
   * @param {boolean} again */
  async #draw(at, number, again) {
    const context = await this.#context();
    if (number !== this.#number || (at.params.job !== undefined && context.record === null)) return;
    // A question may have been put, or typing begun, since this was asked for.
    if (again && this.#isHeld()) {
      await this.#drawHead(context);
      return;
    }
    this.bench.dataset.screen = at.pattern;
    delete this.root.dataset.step;
    await at.render(this.root, context, at.params);
    await this.#drawHead(context);
    // Another screen, or the next step on the same one, is read from its top.
    const shown = `${this.#address()} ${this.root.dataset.step ?? ""}`;
    if (shown !== this.#shown) window.scrollTo(0, 0);
    this.#shown = shown;
    this.bench.dataset.drawn = String(Number(this.bench.dataset.drawn ?? 0) + 1);
  }

  /** Draw the same screen again, but not over a question, nor over what somebody types. */
  refresh() {
    if (this.#isHeld()) void this.#drawHead();
    else void this.show(true);
  }

  /** A finger left the screen: what was not drawn under it is drawn now. */
  #released() {
    this.#pressed = false;
    if (!this.#postponed) return;
    this.#postponed = false;
    this.refresh();
  }

  /** Whether something is asked on the screen, a finger is on it, or somebody types there. */
  #isHeld() {
    if (this.#pressed) {
      this.#postponed = true;
      return true;
    }
    if (this.root.dataset.holding !== undefined) return true;
    const at = document.activeElement;
    return at instanceof HTMLInputElement && at.type !== "file" && this.root.contains(at);
  }

  /** Say what could not be written, and why: nothing is lost in silence.
   * @param {unknown} reason */
  #failed(reason) {
    const isFull = reason instanceof DOMException && reason.name === "QuotaExceededError";
    const isWriting = [DOMException, RecordError, EventRefusedError].some((kind) => reason instanceof kind);
    const why = reason instanceof Error ? reason.message : String(reason);
    const says = isFull ? "This phone is full: clear space, then tap again." : why;
    fill(this.alarm, notice("caution",
      h("b", {}, isWriting ? "Not written. " : "Something went wrong here. "), says,
      button("Seen", () => fill(this.alarm))));
  }

  /** @param {Context | null} known */
  async #drawHead(known = null) {
    const context = known ?? (await this.#context());
    this.bench.dataset.waiting = String(context.waiting);
    fill(this.head, context.record === null ? plainHead(context, "Witnessmark") : jobHead(context));
  }

  /** Open the record of a job; fetch it when it is not here.
   * @param {string | null} job @returns {Promise<string | null>} why not, in words */
  async #open(job) {
    if (job === (this.#record?.job ?? null)) return null;
    this.#leave();
    if (job === null) return null;
    this.#turn += 1;
    const turn = this.#turn;
    let record;
    try {
      record = await this.#opened(job);
    } catch (error) {
      return whyNotOpened(error);
    }
    // Somebody went on while it was opened: what was asked last counts.
    if (turn !== this.#turn) record.close();
    else this.#keep(record);
    return null;
  }

  /** @param {JobRecord} record */
  #keep(record) {
    this.#record = record;
    record.addEventListener("change", this.#changed);
    this.#unwatch = this.sender.watch(record.job);
    paintAs(record.pack);
  }

  /** @param {string} job */
  async #opened(job) {
    try {
      return await openRecord(this.store, job);
    } catch {
      await this.sender.fetchJob(job);
      return openRecord(this.store, job);
    }
  }

  #leave() {
    this.#turn += 1;
    this.#unwatch?.();
    this.#record?.removeEventListener("change", this.#changed);
    this.#record?.close();
    [this.#record, this.#unwatch] = [null, null];
    paintAs(null);
  }

  #changed = () => this.refresh();

  /** @returns {Promise<Context>} */
  async #context() {
    const record = this.#record;
    const { counts } = this.sender;
    return {
      store: this.store,
      sender: this.sender,
      record,
      person: await person(this.store),
      people: this.known.about?.people ?? [],
      known: this.known,
      counts,
      waiting: counts.waiting,
      takeEdition: this.editions.waiting ? () => this.editions.take() : null,
      session: this.#session(record?.job ?? ""),
      now: () => Date.now(),
      clockTime,
      photosSince,
      keepPhoto: (/** @type {string} */ job, /** @type {Blob} */ blob) => keepPhoto(this.store, job, blob),
      refresh: () => void this.show(),
      glare: switchGlare,
    };
  }

  /** @param {string} job */
  #session(job) {
    const session = this.#sessions.get(job) ?? new Session();
    this.#sessions.set(job, session);
    return session;
  }

  /** @param {string} why */
  async #say(why) {
    await this.#drawHead();
    fill(this.root, notice("caution", why), h("a", { class: "big", href: "#/" }, "Back to the jobs"));
    this.bench.dataset.screen = "unreached";
  }
}
