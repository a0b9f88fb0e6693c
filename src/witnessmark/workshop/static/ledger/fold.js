/**
 * From events to the state of a job: every fact is taken, whatever rule it breaks.
 *
 * A fact that breaks a rule is kept and flagged. Corrections come first: an event corrected
 * away is passed over, one corrected in part is read as corrected. Then every event is taken
 * in an order in which causes come before effects.
 *
 * @typedef {import("./book.js").Row} Row
 * @typedef {import("./state.js").History} History
 */

import { block, done } from "./doing.js";
import { returned, stopped } from "./interruption.js";
import { closed, gatePassed } from "./passing.js";
import { putDown } from "./putting_down.js";
import { JobState } from "./state.js";
import { STATEMENTS } from "./statements.js";

/** What takes each type of event that says all it brings. @type {Map<string, (state: JobState,
 * id: string, event: Row) => void>} */
const TAKEN = new Map(Object.entries({ done, block, stopped, gate: gatePassed, closed }));

/** What takes each of the others, and gives what it moves. */
const MOVING = new Map([...STATEMENTS, ["returned", returned]]);

/**
 * Fold a job's events over its pack.
 * @param {Row} pack
 * @param {History} history the events with their order and causes
 * @param {Iterable<string>} held hashes of the photos at hand
 * @returns {JobState}
 */
export function fold(pack, history, held = []) {
  const state = new JobState(pack, history);
  state.held = [...held].sort();
  const { corrected } = state;
  const unknown = new Set(history.unknown);
  for (const id of history.order) {
    if (unknown.has(id)) continue;
    const event = corrected.has(id) ? corrected.get(id) : state.event(id);
    if (event !== null && event !== undefined) take(state, id, event);
  }
  return state;
}

/** @param {JobState} state @param {string} id @param {Row} event */
function take(state, id, event) {
  state.taken.set(id, event);
  for (const photo of event.photos) if (!state.photos.has(photo)) state.photos.set(photo, id);
  toBeSeen(state, id, event);
  const takes = TAKEN.get(event.type);
  if (takes !== undefined) takes(state, id, event);
  else putDown(state, id, event, MOVING.get(event.type)?.(state, id, event) ?? []);
}

/** Keep what another person must see: whoever wrote it may not do it alone. A correction puts
 * right what was said; that somebody must look it does not take away.
 * @param {JobState} state @param {string} id @param {Row} event */
function toBeSeen(state, id, event) {
  const written = state.event(id);
  if (event.values.to_be_seen !== true && written.values.to_be_seen !== true) return;
  state.add("to_be_seen", id, { object: event.object, person: written.person, seen: null });
}
