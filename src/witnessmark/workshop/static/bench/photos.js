/**
 * Photos on the phone: hashed here, kept whole, never written again.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {import("./store.js").Table} Table
 * @typedef {{id: string, job: string, type: string, bytes: ArrayBuffer}} Photo
 */

import { sha256 } from "../ledger/sha256.js";
import { wait } from "./store.js";

/** Read a photo and hash it, ready to be put down with what it shows.
 * @param {Blob} blob @param {string} job @returns {Promise<Photo>} */
export async function readPhoto(blob, job) {
  const bytes = await blob.arrayBuffer();
  return { id: await sha256(new Uint8Array(bytes)), job, type: blob.type, bytes };
}

/** Put a photo down and let it wait to be sent, once however often it is taken.
 * @param {(name: "photos" | "outbox") => Table} table @param {Photo} photo */
export async function putPhoto(table, photo) {
  if ((await table("photos").get([photo.job, photo.id])) !== undefined) return;
  await table("photos").put(photo);
  await wait(table("outbox"), "photo", photo.job, photo.id);
}

/** Keep a photo; give the hash that an event names it by.
 * @param {Store} store @param {string} job @param {Blob} blob @returns {Promise<string>} */
export async function keepPhoto(store, job, blob) {
  const photo = await readPhoto(blob, job);
  await store.change(["photos", "outbox"], (table) => putPhoto(table, photo));
  store.tell("wrote", { job, photo: photo.id });
  return photo.id;
}

/** A photo kept on this phone; null where only others have it.
 * @param {Store} store @param {string} job @param {string} id @returns {Promise<Blob | null>} */
export async function photoHere(store, job, id) {
  const found = await store.read(["photos"], (table) => table("photos").get([job, id]));
  return found === undefined ? null : new Blob([found.bytes], { type: found.type });
}
