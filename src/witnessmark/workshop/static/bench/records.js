/**
 * The record of a job on this phone: what was written, where it stands, and writing more.
 *
 * An act is on the disk before its promise resolves; only then is the job folded again, when
 * somebody next asks where it stands. So nothing that is drawn keeps a tap waiting.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./store.js").Table} Table
 * @typedef {import("./photos.js").Photo} Photo
 * @typedef {import("../ledger/interpreter.js").Row} Row
 * @typedef {import("../ledger/state.js").JobState} JobState
 * @typedef {import("../ledger/outstanding.js").Item} Item
 * @typedef {import("./writing.js").Written} Written
 */

import { canonicalBytes } from "../ledger/canonical.js";
import { beginning, endOf } from "../ledger/chains.js";
import { fold } from "../ledger/fold.js";
import { gate } from "../ledger/gates.js";
import { Graph } from "../ledger/graph.js";
import { outstanding } from "../ledger/outstanding.js";
import { registers } from "../ledger/registers.js";
import { plainSha256 } from "../ledger/sha256.js";
import { upcast } from "../ledger/upcasting.js";
import { me } from "./me.js";
import { putPhoto, readPhoto } from "./photos.js";
import { keysOfJob, wait } from "./store.js";
import { RecordError, WRITTEN_TO, inFormC, mintId, putEvent } from "./writing.js";

export { keepPhoto, photoHere } from "./photos.js";
export { RecordError, mintId } from "./writing.js";

/** Open a job that is on this phone.
 * @param {Store} store @param {string} job @returns {Promise<JobRecord>}
 * @throws {RecordError} if it is not here, or its pack is not */
export async function openRecord(store, job) {
  const held = await store.read(["me", "jobs", "packs", "events", "photos", "outbox"], (table) =>
    readJob(table, job));
  if (held === null) throw new RecordError("this job is not on this phone yet");
  const record = new JobRecord(store, held);
  if (record.pack === null) throw new RecordError("the job pack is not on this phone yet");
  return record;
}

/** All that the phone holds of a job; null where it does not know it.
 * @param {(name: import("./store.js").TableName) => Table} table @param {string} job */
async function readJob(table, job) {
  const [row, events, photos, waiting, pairing] = await Promise.all([
    table("jobs").get(job), table("events").ofJob(job), table("photos").keys(keysOfJob(job)),
    table("outbox").countOfJob(job), table("me").get("pairing"),
  ]);
  if (row === undefined) return null;
  const read = events.map(({ id, text }) => /** @type {[string, Row]} */ ([id, JSON.parse(text)]));
  const named = read.map(([, event]) => event.pack).filter((each) => each !== null);
  const wanted = [...new Set([...named, row.pack].filter(Boolean))];
  const packs = await Promise.all(wanted.map((id) => table("packs").get(id)));
  return {
    row, waiting, device: pairing?.device.id ?? null,
    events: new Map(read.map(([id, event]) => [id, upcast(event)])),
    photos: new Set([...photos.map(([, id]) => id), ...(row.photos ?? [])]),
    packs: new Map(packs.filter(Boolean).map(({ id, text }) => [id, JSON.parse(text)])),
  };
}

/** Begin a job on a machine that nobody has described, with or without a network.
 * @param {Store} store
 * @param {{title: string, photo?: Blob}} about what to call it, and the photo of its plate
 * @returns {Promise<JobRecord>}
 * @throws {RecordError} if this phone was never told what an undescribed machine is */
export async function newRecord(store, { title, photo }) {
  const { about } = await me(store);
  if (!about?.blank) throw new RecordError("this phone must reach the workshop once first");
  const job = mintId("j");
  const bytes = canonicalBytes(about.blank);
  const pack = { id: plainSha256(bytes), text: new TextDecoder().decode(bytes) };
  const picture = photo === undefined ? null : await readPhoto(photo, job);
  await store.change(WRITTEN_TO, async (table) => {
    const row = { id: job, title: title.normalize("NFC"), pack: pack.id, made: true, end: beginning() };
    await Promise.all([
      table("packs").put(pack), table("jobs").add(row),
      wait(table("outbox"), "job", job, job), wait(table("outbox"), "pack", job, pack.id),
    ]);
    if (picture !== null) await putPhoto(table, picture);
    await putEvent(table, row, [], "begin", { pack: pack.id, photos: picture ? [picture.id] : [] });
  });
  store.tell("wrote", { job });
  return openRecord(store, job);
}

/** A job as this phone knows it. It tells `change` whenever something was written or came in. */
export class JobRecord extends EventTarget {
  #store;
  #held;
  /** @type {Graph | null} */
  #graph = null;
  /** @type {JobState | null} */
  #state = null;
  /** @type {string | null} the pack of its last beginning or move; null while nobody began it */
  #onPack = null;
  /** @type {string[]} */
  #others;
  #telling = 0;

  /** @param {Store} store @param {NonNullable<Awaited<ReturnType<typeof readJob>>>} held */
  constructor(store, held) {
    super();
    this.#store = store;
    this.#held = held;
    this.#others = endOf(held.events, held.device).others;
    this.#onPack = this.#lastPack();
    this.#listen("addEventListener");
  }

  /** The job's id. @returns {string} */
  get job() {
    return this.#held.row.id;
  }

  /** @returns {string} */
  get title() {
    return this.#held.row.title;
  }

  /** Events and photos of this job that the workshop has not acknowledged. @returns {number} */
  get waiting() {
    return this.#held.waiting;
  }

  /** The digest of the pack the job is on. @returns {string} */
  get packId() {
    return this.#onPack ?? this.#held.row.pack;
  }

  /** The pack that the job is on: of its last `begin` or `rebase` whose pack is here.
   * @returns {Row} */
  get pack() {
    return /** @type {Row} */ (this.#held.packs.get(this.packId) ?? null);
  }

  /** @returns {Graph} */
  get graph() {
    this.#graph ??= new Graph(this.#held.events);
    return this.#graph;
  }

  /** Where the job stands. @returns {JobState} */
  get state() {
    this.#state ??= fold(this.pack, this.graph, this.#held.photos);
    return this.#state;
  }

  /** @returns {Item[]} */
  outstanding() {
    return outstanding(this.state);
  }

  /** @param {number | null} now milliseconds, to tell which waits are over */
  registers(now = Date.now()) {
    return registers(this.state, now);
  }

  /** @param {string} id @param {string | null} purpose @param {string | null} object
   * @param {number | null} now @returns {Row} what is open before the act, by name */
  gate(id, purpose = null, object = null, now = Date.now()) {
    return gate(this.state, id, purpose, object, now);
  }

  /** Write an act down. When this resolves it is on the disk. A job that nobody began is begun
   * in the same stroke.
   * @param {string} type @param {Row} fields action, object, values, photos, note, pack
   * @returns {Promise<Written>}
   * @throws {RecordError} if nobody is known to hold the phone
   * @throws {import("../ledger/events.js").EventRefusedError} if it has not the form of an event */
  async write(type, fields = {}) {
    const said = inFormC(fields);
    const others = this.#others;
    const written = await this.#store.change(WRITTEN_TO, async (table) => {
      const row = await table("jobs").get(this.job);
      const begun = type === "begin" || this.#onPack !== null || row.end.seq > 0;
      const first = begun ? null : await putEvent(table, row, others, "begin", { pack: row.pack });
      const then = await putEvent(table, row, first === null ? others : [], type, said);
      return first === null ? [then] : [first, then];
    });
    // What came in meanwhile is new to this record still, and named by its next entry.
    this.#others = this.#others.filter((each) => !others.includes(each));
    for (const { id, event } of written) this.#held.events.set(id, event);
    this.#held.waiting += written.length;
    this.#changed();
    this.#store.tell("wrote", { job: this.job, ids: written.map(({ id }) => id) });
    // The pack that a job moves to was fetched beside this record: it is read in.
    if (type === "rebase") await this.#reread();
    return written[written.length - 1];
  }

  /** Take an entry back, as a slip of the thumb: by a further entry that names it.
   * @param {string} event its id @returns {Promise<Written>} */
  undo(event) {
    return this.write("correct", { values: { corrects: event, instead: null } });
  }

  /** Stop listening for what comes in. */
  close() {
    this.#listen("removeEventListener");
  }

  /** @param {"addEventListener" | "removeEventListener"} how */
  #listen(how) {
    for (const word of ["arrived", "wrote"]) this.#store[how](word, this.#heard);
    this.#store[how]("sent", this.#recount);
  }

  /** @param {Event} event */
  #heard = (event) => {
    const { job, ids } = /** @type {CustomEvent} */ (event).detail;
    if (job !== undefined && job !== this.job) return;
    if (ids?.every((/** @type {string} */ id) => this.#held.events.has(id))) return;
    void this.#reread();
  };

  /** Something was sent: only the number that waits is another. */
  #recount = async () => {
    this.#held.waiting = await this.#store.read(["outbox"], (table) =>
      table("outbox").countOfJob(this.job));
    this.#tell();
  };

  /** Read again what the phone holds: something came in. */
  async #reread() {
    const { size } = this.#held.events;
    const held = await this.#store.read(WRITTEN_TO, (table) => readJob(table, this.job));
    if (held === null) return;
    if (this.#held.events.size !== size) return this.#reread(); // something was written meanwhile
    this.#held = held;
    this.#others = endOf(held.events, held.device).others;
    this.#changed();
  }

  #changed() {
    [this.#graph, this.#state] = [null, null];
    this.#onPack = this.#lastPack();
    this.#tell();
  }

  #tell() {
    clearTimeout(this.#telling);
    this.#telling = setTimeout(() => this.dispatchEvent(new Event("change")));
  }

  /** @returns {string | null} */
  #lastPack() {
    const moves = [...this.#held.events].filter(
      ([, { type, pack }]) =>
        (type === "begin" || type === "rebase") && this.#held.packs.has(pack));
    if (moves.length < 2) return moves[0]?.[1].pack ?? null;
    const known = new Map(moves);
    return known.get(this.graph.order.findLast((id) => known.has(id)))?.pack;
  }
}
