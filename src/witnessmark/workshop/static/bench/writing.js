/**
 * Writing an act down: the next event of this phone's chain, within one transaction.
 *
 * @typedef {import("./store.js").Table} Table
 * @typedef {import("../ledger/interpreter.js").Row} Row
 * @typedef {{id: string, event: Row}} Written
 */

import { endAfter, nextEvent } from "../ledger/chains.js";
import { eventBytes } from "../ledger/events.js";
import { plainSha256 } from "../ledger/sha256.js";
import { wait } from "./store.js";

/** Something that cannot be done here and now; `message` says why, for the person. */
export class RecordError extends Error {}

/** The tables an act is written to. @type {import("./store.js").TableName[]} */
export const WRITTEN_TO = ["me", "jobs", "packs", "events", "photos", "outbox"];

/** A new id, drawn at random so that no two phones give the same.
 * @param {string} kind a letter or word that it begins with */
export function mintId(kind) {
  const drawn = crypto.getRandomValues(new Uint8Array(10));
  return `${kind}-${Array.from(drawn, (byte) => byte.toString(36).padStart(2, "0")).join("")}`;
}

/** Write an event at the end of this phone's chain, within a transaction.
 * @param {(name: any) => Table} table @param {Row} row the job @param {string[]} others
 * ends of other chains that the writer had seen @param {string} type @param {Row} fields
 * @returns {Promise<Written>} */
export async function putEvent(table, row, others, type, fields) {
  const [pairing, member, chosen] = await Promise.all(
    ["pairing", "member", "person"].map((word) => table("me").get(word)),
  );
  const person = chosen ?? member;
  if (!pairing || !person) throw new RecordError("say first who holds this phone");
  const by = { job: row.id, device: pairing.device.id, person, wall: Date.now() };
  const event = nextEvent({ ...row.end, others }, by, type, fields);
  const bytes = eventBytes(event);
  const id = plainSha256(bytes);
  row.end = endAfter(event, id);
  await Promise.all([
    table("events").add({ id, job: row.id, text: new TextDecoder().decode(bytes) }),
    table("jobs").put(row),
    wait(table("outbox"), "event", row.id, id),
  ]);
  return { id, event };
}

/** Fields with all text in Unicode's form C, as keyboards differ. @param {any} value @returns {any} */
export function inFormC(value) {
  if (typeof value === "string") return value.toWellFormed().normalize("NFC");
  if (Array.isArray(value)) return value.map(inFormC);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).map(([key, each]) => [inFormC(key), inFormC(each)]),
  );
}
