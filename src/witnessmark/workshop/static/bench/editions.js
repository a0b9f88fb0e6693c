/**
 * Which edition of the bench is open here, and whether a newer one waits on the phone.
 *
 * A new edition is put on the phone beside the old one and taken when a person says so, never
 * under a working hand.
 */

const WORKER = "/bench/worker.js";
const SCOPE = "/bench/";
/** [ms] */
const ASK_AGAIN = 1000;

/** The edition that this page is of. @returns {string | null} */
export const editionHere = () =>
  document.querySelector('meta[name="edition"]')?.getAttribute("content") ?? null;

/** Keeps the bench on the phone. It tells `editionWaiting` when a newer one is there whole. */
export class Editions extends EventTarget {
  /** @type {ServiceWorkerRegistration | null} */
  #kept = null;
  #taking = false;
  /** Whether this browser can keep the bench at all: not over an address it does not trust. */
  possible = "serviceWorker" in navigator;

  /** Keep this edition on the phone, and look for newer ones. */
  async start() {
    if (!this.possible) return;
    navigator.serviceWorker.addEventListener("controllerchange", () => {
      if (this.#taking) location.reload();
    });
    try {
      this.#kept = await navigator.serviceWorker.register(WORKER, {
        scope: SCOPE, updateViaCache: "none",
      });
    } catch {
      // Without the network, or under a certificate the browser does not trust.
      this.#kept = (await navigator.serviceWorker.getRegistration(SCOPE)) ?? null;
      this.possible = this.#kept !== null;
    }
    this.#kept?.addEventListener("updatefound", () => this.#watch());
    this.#watch();
    if (this.waiting) this.#tell();
  }

  /** Whether a newer edition is there and waits to be taken. @returns {boolean} */
  get waiting() {
    return Boolean(this.#kept?.waiting && navigator.serviceWorker.controller);
  }

  /** Take the edition that waits: the page is loaded again. It is asked until it has begun, as
   * a browser may put its worker to sleep just then. */
  take() {
    this.#taking = true;
    const ask = () => this.#kept?.waiting?.postMessage("take");
    ask();
    setInterval(ask, ASK_AGAIN);
  }

  /** Look for a newer edition if the workshop says that it has one.
   * @param {string | undefined} theirs */
  async look(theirs) {
    if (theirs === undefined || theirs === editionHere() || this.waiting) return;
    try {
      await this.#kept?.update();
    } catch {
      // The network went away: the workshop will say it again.
    }
  }

  #watch() {
    const coming = this.#kept?.installing;
    coming?.addEventListener("statechange", () => {
      if (coming.state === "installed" && this.waiting) this.#tell();
    });
  }

  #tell() {
    this.dispatchEvent(new Event("editionWaiting"));
  }
}
