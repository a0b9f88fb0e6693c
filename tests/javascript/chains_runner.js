/** Gives what the JavaScript side makes of clocks, chains, seals and older entries. */

import { canonicalText } from "/static/ledger/canonical.js";
import { chainFaults, endAfter, endOf, nextEvent, readChains } from "/static/ledger/chains.js";
import { latestOf, tick } from "/static/ledger/clock.js";
import { commitment, hex, keepsWord } from "/static/ledger/commitments.js";
import { VERSION } from "/static/ledger/event_types.js";
import { eventId } from "/static/ledger/events.js";
import { STEPS, upcast } from "/static/ledger/upcasting.js";

export const ticks = (rows) => rows.map(([latest, wall]) => tick(latest, wall));
export const latest = (rows) => rows.map(([clocks]) => latestOf(clocks));

/** Write each entry again from what its phone held: by its end among them, its own last given. */
export async function written(rows) {
  const texts = new Map(rows.map((row) => [row.id, row.bytes]));
  const found = [];
  for (const { holds, last, by, type, fields } of rows) {
    const events = new Map(holds.map((id) => [id, JSON.parse(texts.get(id))]));
    const { type: _, ...said } = fields;
    const event = nextEvent(endOf(events, by.device), by, type, said);
    found.push({ id: await eventId(event), bytes: canonicalText(event), prev: event.prev === last });
  }
  return found;
}

/** Write one chain on and on from the end after each, without looking at the events again. */
export async function onAndOn(count) {
  const by = { job: "job-1", device: "phone-1", person: "ada", wall: 1000 };
  const events = new Map();
  for (let end = endOf(events, by.device); events.size < count;) {
    const event = nextEvent(end, by, "measured", {});
    const id = await eventId(event);
    events.set(id, event);
    end = endAfter(event, id);
  }
  const again = endOf(events, by.device);
  return { seq: again.seq, clock: again.clock, others: again.others, faults: chainFaults(events) };
}

const bytesOf = (text) => Uint8Array.from(text.match(/../g) ?? [], (each) => parseInt(each, 16));

export async function sealed(rows) {
  const found = [];
  for (const { salt, says, seal } of rows) {
    const bytes = bytesOf(salt);
    found.push({
      seal: await commitment(bytes, says),
      salt: hex(bytes),
      keeps: await keepsWord(seal, bytes, says),
      others: [
        await keepsWord(seal, bytes, `${says}.`),
        await keepsWord(seal, bytes.map((each) => each ^ 1), says),
        await keepsWord(seal, bytes.slice(0, 15), says),
      ],
    });
  }
  return found;
}

/** The name of the error that sealing ends with. */
export async function unsealed(salt, says) {
  try {
    return await commitment(bytesOf(salt), says);
  } catch (error) {
    return error.constructor.name;
  }
}

export async function faults(cases) {
  const found = [];
  for (const { stored } of cases) {
    const rows = stored.map(([id, text]) => [id, new TextEncoder().encode(text)]);
    const { events, faults: named } = await readChains(rows);
    found.push({ read: events.size, faults: named.map(({ event, says }) => [event, says]) });
  }
  return found;
}

/** Read frozen entries of every version as this edition does. */
export const upcasted = (texts) => texts.map((text) => canonicalText(upcast(JSON.parse(text))));

export const steps = () => ({ version: VERSION, steps: [...STEPS.keys()] });

/** Take an entry through two made-up steps, one of which tries to move it. */
export function climbed(event) {
  const before = JSON.stringify(event);
  const up = new Map([
    [1, (row) => ({ ...row, values: { of: row.values.what }, seq: 99 })],
    [2, (row) => ({ ...row, object: `${row.object}-front` })],
  ]);
  const read = upcast(event, up, 3);
  let gap = null;
  try {
    upcast(event, new Map(), 2);
  } catch (error) {
    gap = error.constructor.name;
  }
  const newer = { ...event, v: VERSION + 1 };
  return { read, same: JSON.stringify(event) === before, gap, newer: upcast(newer), was: newer };
}
