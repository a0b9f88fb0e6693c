/**
 * What a phone keeps: tables in IndexedDB, written to the disk before a tap is answered.
 *
 * One transaction per recorded act, of strict durability: it is there whole, or not at all.
 * Nothing here is dropped for its age. What is written or arrives is told to everybody who
 * listens, in other tabs too.
 *
 * Tables: `me` (pairing and people, by word), `jobs`, `packs` and `events` (bytes as text, by
 * id), `photos` (by job and hash), `private` (by commitment), `outbox` (what waits to be sent,
 * in the order it was written) and `refused` (what the workshop would not take, and why).
 *
 * @typedef {{[key: string]: any}} Row
 * @typedef {"me"|"jobs"|"packs"|"events"|"photos"|"private"|"outbox"|"refused"} TableName
 */

const NAME = "witnessmark";
const VERSION = 1;

/** What waits is sent in this order: a job before what is written on it, photos last. */
export const TURNS = ["job", "pack", "event", "private", "photo"];

/** Open the phone's tables; they are made when there are none.
 * @param {string} name @returns {Promise<Store>} */
export async function openStore(name = NAME) {
  const request = indexedDB.open(name, VERSION);
  request.onupgradeneeded = () => makeTables(request.result);
  return new Store(await answered(request), name);
}

/** @param {IDBDatabase} database */
function makeTables(database) {
  database.createObjectStore("me");
  database.createObjectStore("jobs", { keyPath: "id" });
  database.createObjectStore("packs", { keyPath: "id" });
  database.createObjectStore("events", { keyPath: "id" }).createIndex("job", "job");
  database.createObjectStore("photos", { keyPath: ["job", "id"] });
  database.createObjectStore("private", { keyPath: "commitment" });
  for (const name of ["outbox", "refused"]) {
    const table = database.createObjectStore(name, { keyPath: "number", autoIncrement: true });
    table.createIndex("job", "job");
    table.createIndex("turn", ["turn", "number"]);
  }
}

/** What a request comes to. @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export function answered(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** The tables of a phone. It tells `wrote` (a recorded act), `arrived` (from others), `sent`
 * (acknowledged or refused) and `me` (who and whether paired), each with its `detail`. */
export class Store extends EventTarget {
  #database;
  #others;

  /** @param {IDBDatabase} database @param {string} name */
  constructor(database, name) {
    super();
    this.#database = database;
    // A later edition of the tables may be made by another tab: do not stand in its way.
    database.onversionchange = () => database.close();
    this.#others = new BroadcastChannel(name);
    this.#others.onmessage = ({ data: [word, detail] }) => this.#say(word, detail);
  }

  /** Read from tables, all as they stood at one moment.
   * @template T @param {TableName[]} names @param {(table: (name: TableName) => Table) => Promise<T>} reading
   * @returns {Promise<T>} */
  read(names, reading) {
    const transaction = this.#database.transaction(names, "readonly");
    return reading((name) => new Table(transaction.objectStore(name)));
  }

  /** Change tables in one transaction; when this resolves it is on the disk. `changing` may
   * await nothing but the tables: a transaction ends when nothing more is asked of it.
   * @template T @param {TableName[]} names @param {(table: (name: TableName) => Table) => Promise<T>} changing
   * @returns {Promise<T>} */
  async change(names, changing) {
    const transaction = this.#database.transaction(names, "readwrite", { durability: "strict" });
    const over = ended(transaction);
    let found;
    try {
      found = await changing((name) => new Table(transaction.objectStore(name)));
    } catch (error) {
      over.catch(() => {});
      if (transaction.error === null) stop(transaction);
      throw error;
    }
    await over;
    return found;
  }

  /** Tell what happened, here and in other tabs. @param {string} word @param {Row} detail */
  tell(word, detail = {}) {
    this.#say(word, detail);
    this.#others.postMessage([word, detail]);
  }

  /** @param {string} word @param {Row} detail */
  #say(word, detail) {
    this.dispatchEvent(new CustomEvent(word, { detail }));
  }

  /** Let go of the tables. */
  close() {
    this.#others.close();
    this.#database.close();
  }
}

/** @param {IDBTransaction} transaction */
function stop(transaction) {
  try {
    transaction.abort();
  } catch (error) {
    if (!(error instanceof DOMException)) throw error; // it is over already
  }
}

/** @param {IDBTransaction} transaction @returns {Promise<void>} */
function ended(transaction) {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error("the writing was broken off"));
  });
}

/** One table within a transaction. */
export class Table {
  /** @param {IDBObjectStore} store */
  constructor(store) {
    this.store = store;
  }

  /** @param {IDBValidKey} key @returns {Promise<any>} the row, or undefined */
  get = (key) => answered(this.store.get(key));

  /** @param {any} row @param {IDBValidKey} [key] */
  put = (row, key) => answered(this.store.put(row, key));

  /** Put a row that must be new. @param {any} row */
  add = (row) => answered(this.store.add(row));

  /** @param {IDBValidKey | IDBKeyRange} key */
  delete = (key) => answered(this.store.delete(key));

  /** @param {IDBValidKey | IDBKeyRange} [range] @returns {Promise<number>} */
  count = (range) => answered(this.store.count(range));

  /** @param {IDBKeyRange | null} [range] @returns {Promise<any[]>} */
  all = (range = null) => answered(this.store.getAll(range));

  /** @param {IDBKeyRange | null} [range] @returns {Promise<any[]>} */
  keys = (range = null) => answered(this.store.getAllKeys(range));

  /** The rows of a job. @param {string} job @returns {Promise<any[]>} */
  ofJob = (job) => answered(this.store.index("job").getAll(job));

  /** @param {string} job @returns {Promise<number>} */
  countOfJob = (job) => answered(this.store.index("job").count(job));

  /** Rows of the outbox of one turn, the longest waiting first.
   * @param {number} turn @param {number} most @returns {Promise<any[]>} */
  ofTurn = (turn, most) =>
    answered(this.store.index("turn").getAll(IDBKeyRange.bound([turn], [turn, Infinity]), most));
}

/** Put something into the outbox. @param {Table} outbox @param {string} kind
 * @param {string} job @param {string} id */
export const wait = (outbox, kind, job, id) =>
  outbox.add({ turn: TURNS.indexOf(kind), kind, job, id });

/** The keys of a job in a table whose keys are job and id. @param {string} job */
export const keysOfJob = (job) => IDBKeyRange.bound([job], [job, []]);
