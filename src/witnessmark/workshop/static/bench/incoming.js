/**
 * Hearing from the workshop: who this phone is to it, its jobs, and what others wrote on them.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./link.js").Link} Link
 * @typedef {import("./me.js").Standing} Standing
 * @typedef {{[key: string]: any}} Row
 */

import { digest } from "../ledger/canonical.js";
import { beginning } from "../ledger/chains.js";
import { latestOf } from "../ledger/clock.js";
import { readEvent } from "../ledger/events.js";
import { AnsweredNoError, UnreachedError } from "./link.js";
import { keepOfMe, me } from "./me.js";
import { sendAllAgain } from "./outgoing.js";

/** Jobs that a phone takes along unasked, the newest first. */
const MOST_TAKEN_ALONG = 30;

/** Ask the workshop who this phone is to it, and keep the answer.
 * @param {Store} store @param {Link} link @returns {Promise<Standing>} */
export async function hear(store, link) {
  let about;
  try {
    about = await link.get("/api/me");
  } catch (error) {
    if (!(error instanceof AnsweredNoError) || !error.isForWho) throw error;
    const standing = await standingOf(link);
    await keepOfMe(store, { standing });
    return standing;
  }
  if (typeof about?.member?.id !== "string") throw new UnreachedError("this is not the workshop");
  const known = await me(store);
  if (JSON.stringify(known.about) !== JSON.stringify(about) || known.standing !== "paired") {
    await keepOfMe(store, { about, member: about.member.id, standing: "paired" });
  }
  await notice(store, about.epoch);
  return "paired";
}

/** Take notice of the workshop's epoch: with a new one it no longer has all that it had.
 * @param {Store} store @param {string} epoch @returns {Promise<boolean>} whether it is a new one */
export async function notice(store, epoch) {
  const { epoch: known } = await me(store);
  if (known === epoch || typeof epoch !== "string") return false;
  if (known === null) await keepOfMe(store, { epoch });
  else await sendAllAgain(store, epoch);
  return known !== null;
}

/** A phone that may send and not see was revoked; one that may neither is not known at all.
 * @param {Link} link @returns {Promise<Standing>} */
async function standingOf(link) {
  try {
    await link.post("/api/events", { events: [] });
    return "revoked";
  } catch (error) {
    if (!(error instanceof AnsweredNoError)) throw error;
    return "unknown";
  }
}

/** Fetch the list of jobs, and what came in on those that the phone has or should take along.
 * @param {Store} store @param {Link} link @param {Set<string>} watched jobs looked at just now */
export async function fetchJobs(store, link, watched) {
  const list = await link.get("/api/jobs");
  const known = await me(store);
  if (JSON.stringify(known.list) !== JSON.stringify(list)) await keepOfMe(store, { list });
  const here = await store.read(["jobs"], (table) => table("jobs").all());
  const rows = new Map(here.map((row) => [row.id, row]));
  const open = list.filter((/** @type {Row} */ each) => each.closed !== true);
  const wanted = new Set(open.slice(0, MOST_TAKEN_ALONG).map((/** @type {Row} */ each) => each.id));
  for (const each of list) {
    const { id } = each;
    if (!watched.has(id) && !wanted.has(id) && !rows.has(id)) continue;
    // A number of an epoch says nothing in another.
    const listed = `${known.epoch} ${each.moved}`;
    if (rows.get(id)?.listed !== listed || watched.has(id)) await fetchJob(store, link, id, listed);
  }
}

/** Fetch a job: its pack, and the events beyond what the phone has.
 * @param {Store} store @param {Link} link @param {string} job
 * @param {string | null} listed how the list says that it stands */
export async function fetchJob(store, link, job, listed = null) {
  const bench = await link.get(`/api/jobs/${job}/bench`);
  if (bench.pack !== null) await fetchPack(store, link, job, bench.pack);
  for (let more = true; more;) {
    const row = await store.read(["jobs"], (table) => table("jobs").get(job));
    const after = row?.epoch === bench.epoch ? row?.number ?? 0 : 0;
    const found = await link.get(`/api/jobs/${job}/events?after=${after}&epoch=${bench.epoch}`);
    const events = await readAll(found.events);
    for (const { event } of events) {
      if (event.pack !== null) await fetchPack(store, link, job, event.pack);
    }
    more = found.more === true;
    await keepFetched(store, job, { ...bench, number: found.number, listed: more ? null : listed }, events);
  }
}

/** @param {{id: string, event: string}[]} fetched */
const readAll = (fetched) =>
  Promise.all(fetched.map(async ({ id, event: text }) => ({
    id, text, event: await readEvent(new TextEncoder().encode(text), id),
  })));

/** Put down in one transaction what came in on a job, and how far the phone is now.
 * @param {Store} store @param {string} job @param {Row} bench
 * @param {{id: string, text: string, event: Row}[]} events */
async function keepFetched(store, job, bench, events) {
  /** @type {string[]} */
  const ids = [];
  const before = await store.change(["me", "jobs", "events"], async (table) => {
    const [row = { id: job, end: beginning() }, pairing] = await Promise.all([
      table("jobs").get(job), table("me").get("pairing"),
    ]);
    const { title = bench.title, pack = bench.pack } = row;
    for (const { id, text, event } of events) {
      if ((await table("events").get(id)) !== undefined) continue;
      await table("events").add({ id, job, text });
      ids.push(id);
      row.end.clock = latestOf([row.end.clock, event.clock]);
      const own = event.device === pairing?.device.id && event.seq > row.end.seq;
      if (own) [row.end.last, row.end.seq] = [id, event.seq];
    }
    const { number, epoch, photos = [], listed } = bench;
    await table("jobs").put({ ...row, title, pack: bench.pack ?? pack, number, epoch, photos, listed });
    return row.photos;
  });
  const same = JSON.stringify(before) === JSON.stringify(bench.photos);
  if (ids.length > 0 || !same) store.tell("arrived", { job, ids: same ? ids : undefined });
}

/** Fetch a pack that the phone has not. @param {Store} store @param {Link} link
 * @param {string} job @param {string} pack */
export async function fetchPack(store, link, job, pack) {
  if ((await store.read(["packs"], (table) => table("packs").get(pack))) !== undefined) return;
  let bytes;
  try {
    ({ bytes } = await link.bytes(`/api/jobs/${job}/packs/${pack}`));
  } catch (error) {
    // Named by an entry whose phone has not sent it yet: the job stays on the pack before.
    if (error instanceof AnsweredNoError && error.status === 404) return;
    throw error;
  }
  if ((await digest(new Uint8Array(bytes))) !== pack) throw new UnreachedError("a pack came damaged");
  const text = new TextDecoder().decode(bytes);
  await store.change(["packs"], (table) => table("packs").put({ id: pack, text }));
}

/** Fetch a photo that another phone took, and keep it; null where the workshop has it not.
 * @param {Store} store @param {Link} link @param {string} job @param {string} id
 * @returns {Promise<Blob | null>} */
export async function fetchPhoto(store, link, job, id) {
  try {
    const { bytes, type } = await link.bytes(`/api/jobs/${job}/photos/${id}`);
    if ((await digest(new Uint8Array(bytes))) !== id) return null;
    await store.change(["photos"], (table) => table("photos").put({ id, job, type, bytes }));
    return new Blob([bytes], { type });
  } catch (error) {
    if (error instanceof AnsweredNoError) return null;
    throw error;
  }
}
