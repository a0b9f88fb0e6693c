/**
 * The causal graph of a job's events: who knew of what, and an order that respects it.
 *
 * `prev` ties each device's events into a chain, `seen` names the heads of other chains.
 * Merging is the union of sets. The order depends on the events alone: causes come first, and
 * events that knew nothing of each other go by hybrid clock, device and number. Wall clocks
 * count for nothing. Nothing is dropped: forks (two events of one device with one number) and
 * gaps (an event that is named and not here) are kept and said.
 *
 * @typedef {import("./interpreter.js").Row} Row
 */

import { byCodePoint } from "./canonical.js";
import { isKnown } from "./event_types.js";
import { readNow } from "./upcasting.js";

/** Merge what several devices hold. @param {...Map<string, Row>} histories @returns {Map<string, Row>} */
export const merged = (...histories) => new Map(histories.flatMap((each) => [...each]));

/** The events of one job by id, in order, with what is odd about them. */
export class Graph {
  /** @type {Map<string, string[]>} */
  #causes = new Map();
  /** The chain of each event, and how far along it. @type {Map<string, [number, number]>} */
  #place = new Map();
  /** How far along other chains each event knew. @type {Map<string, Map<number, number>>} */
  #known = new Map();

  /** @param {Map<string, Row>} events of any version
   * @param {import("./upcasting.js").Step} read how an older one is read */
  constructor(events, read = undefined) {
    this.events = readNow(events, read);
    for (const [id, { prev, seen }] of this.events) {
      const named = prev === null ? seen : [prev, ...seen];
      this.#causes.set(id, named.filter((/** @type {string} */ each) => events.has(each)));
    }
    this.order = this.#ordered();
    this.#trace();
    this.forks = this.#forks();
    this.gaps = this.#gaps();
    this.unknown = this.order.filter((id) => {
      const event = this.#event(id);
      return !isKnown(event.type, event.v);
    });
    this.reaches = this.reaches.bind(this);
  }

  /** Whether the first event was known when the second was written. No event was known when
   * it was itself written. @param {string} earlier @param {string} later */
  reaches(earlier, later) {
    if (earlier === later) return false;
    const [chain, position] = this.#placeOf(earlier);
    const [ownChain, ownPosition] = this.#placeOf(later);
    if (chain === ownChain) return position < ownPosition;
    return (this.#known.get(later)?.get(chain) ?? -1) >= position;
  }

  /** Whether neither of two events was known when the other was written.
   * @param {string} one @param {string} other */
  concurrent(one, other) {
    return one !== other && !this.reaches(one, other) && !this.reaches(other, one);
  }

  /** The events that no other follows, sorted: what has been seen, in short. */
  heads() {
    const followed = new Set([...this.#causes.values()].flat());
    return [...this.events.keys()].filter((id) => !followed.has(id)).sort();
  }

  /** The events that one who knows these heads does not have, in order. Heads that are not here
   * say nothing. @param {Iterable<string>} frontier @returns {string[]} */
  since(frontier) {
    const known = new Set();
    const left = [...frontier].filter((id) => this.events.has(id));
    for (let id = left.pop(); id !== undefined; id = left.pop()) {
      if (known.has(id)) continue;
      known.add(id);
      left.push(...(this.#causes.get(id) ?? []));
    }
    return this.order.filter((id) => !known.has(id));
  }

  /** @param {string} id @returns {Row} */
  #event(id) {
    return /** @type {Row} */ (this.events.get(id));
  }

  /** @param {string} id @returns {[number, number]} */
  #placeOf(id) {
    return /** @type {[number, number]} */ (this.#place.get(id));
  }

  // Building

  /** Sort so that causes come first; among those free to come, by clock, device, number. An id
   * names its causes by digest, so no event can be its own cause and the sort takes every one. */
  #ordered() {
    /** @type {Map<string, string[]>} */
    const followers = new Map();
    const missing = new Map();
    const ready = new Heap((/** @type {string} */ one, /** @type {string} */ other) =>
      this.#isBefore(one, other));
    for (const [id, causes] of this.#causes) {
      missing.set(id, causes.length);
      for (const cause of causes) {
        const others = followers.get(cause);
        if (others === undefined) followers.set(cause, [id]);
        else others.push(id);
      }
      if (causes.length === 0) ready.push(id);
    }
    const order = [];
    for (let id = ready.pop(); id !== undefined; id = ready.pop()) {
      order.push(id);
      for (const follower of followers.get(id) ?? []) {
        missing.set(follower, missing.get(follower) - 1);
        if (missing.get(follower) === 0) ready.push(follower);
      }
    }
    return order;
  }

  /** @param {string} one @param {string} other */
  #isBefore(one, other) {
    const [left, right] = [this.#event(one), this.#event(other)];
    const difference =
      left.clock[0] - right.clock[0] || left.clock[1] - right.clock[1]
      || byCodePoint(left.device, right.device) || left.seq - right.seq || byCodePoint(one, other);
    return difference < 0;
  }

  /** Give every event its place on a chain, and how far along others it knew. A device's events
   * are one chain unless it forked: then each branch is one. */
  #trace() {
    const taken = new Set();
    let chains = 0;
    for (const id of this.order) {
      const { prev } = this.#event(id);
      const before = prev === null || taken.has(prev) ? undefined : this.#place.get(prev);
      if (before === undefined) {
        this.#place.set(id, [chains, 0]);
        chains += 1;
      } else {
        taken.add(prev);
        this.#place.set(id, [before[0], before[1] + 1]);
      }
      this.#known.set(id, this.#knowledge(id, this.#placeOf(id)[0]));
    }
  }

  /** What an event knew of other chains; one that saw nothing new shares the map before it.
   * @param {string} id @param {number} own @returns {Map<number, number>} */
  #knowledge(id, own) {
    const causes = this.#causes.get(id) ?? [];
    if (causes.length === 0) return new Map();
    const known = /** @type {Map<number, number>} */ (this.#known.get(causes[0]));
    if (causes.length === 1 && this.#placeOf(causes[0])[0] === own) return known;
    const reach = new Map(known);
    for (const cause of causes) {
      for (const [chain, position] of [...(this.#known.get(cause) ?? []), this.#placeOf(cause)]) {
        if (position > (reach.get(chain) ?? -1)) reach.set(chain, position);
      }
    }
    reach.delete(own);
    return reach;
  }

  // What is odd

  #forks() {
    /** @type {Map<string, Row>} */
    const numbered = new Map();
    for (const id of this.order) {
      const { device, seq } = this.#event(id);
      const row = numbered.get(`${device} ${seq}`) ?? { device, seq, events: [] };
      numbered.set(`${device} ${seq}`, row);
      row.events.push(id);
    }
    const forks = [...numbered.values()].filter((row) => row.events.length > 1);
    for (const row of forks) row.events.sort();
    return forks.sort(byPlace);
  }

  /** Each missing event once, with the earliest that names it. */
  #gaps() {
    /** @type {Map<string, Row>} */
    const gaps = new Map();
    for (const id of this.order) {
      const { device, seq, prev, seen } = this.#event(id);
      for (const event of [prev, ...seen]) {
        if (event === null || this.events.has(event)) continue;
        const row = { device, seq, event };
        const before = gaps.get(event);
        if (before === undefined || byPlace(row, before) < 0) gaps.set(event, row);
      }
    }
    return [...gaps.values()].sort(
      (one, other) => byPlace(one, other) || byCodePoint(one.event, other.event),
    );
  }
}

/** @param {Row} one @param {Row} other */
const byPlace = (one, other) => byCodePoint(one.device, other.device) || one.seq - other.seq;

/** The smallest first, without sorting everything. */
class Heap {
  /** @type {string[]} */
  #items = [];

  /** @param {(one: string, other: string) => boolean} isBefore */
  constructor(isBefore) {
    this.isBefore = isBefore;
  }

  /** @param {string} item */
  push(item) {
    const items = this.#items;
    let at = items.length;
    while (at > 0) {
      const above = (at - 1) >> 1;
      if (!this.isBefore(item, items[above])) break;
      items[at] = items[above];
      at = above;
    }
    items[at] = item;
  }

  /** @returns {string | undefined} */
  pop() {
    const items = this.#items;
    const first = items[0];
    const last = items.pop();
    if (items.length > 0 && last !== undefined) this.#sink(last);
    return first;
  }

  /** @param {string} item */
  #sink(item) {
    const items = this.#items;
    let at = 0;
    for (;;) {
      let below = 2 * at + 1;
      if (below >= items.length) break;
      if (below + 1 < items.length && this.isBefore(items[below + 1], items[below])) below += 1;
      if (!this.isBefore(items[below], item)) break;
      items[at] = items[below];
      at = below;
    }
    items[at] = item;
  }
}
