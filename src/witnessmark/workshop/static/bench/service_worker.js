/**
 * Keeps the bench's page, scripts and looks on the phone, edition by edition.
 *
 * The server writes before this text which `EDITION` it is, the address of the `PAGE`, and the
 * `FILES` by address with the digest of each. An edition is put down whole, every file checked,
 * or not at all. It then waits: nobody's page is changed under their hands. What is not in the
 * list, the workshop's data above all, is none of the worker's business.
 */

/* global EDITION, FILES, PAGE */

const PREFIX = "bench ";
const KEPT = PREFIX + EDITION;

self.addEventListener("install", (event) => event.waitUntil(keepAll()));
self.addEventListener("activate", (event) => event.waitUntil(takeOver()));
self.addEventListener("message", (event) => {
  if (event.data === "take") event.waitUntil(self.skipWaiting());
});
self.addEventListener("fetch", (event) => {
  const address = addressOf(event.request);
  if (address !== null) event.respondWith(kept(address, event.request));
});

/** Fetch every file past the browser's own cache, and check it. */
async function keepAll() {
  const cache = await caches.open(KEPT);
  try {
    await Promise.all(Object.entries(FILES).map((file) => keep(cache, ...file)));
  } catch (error) {
    await caches.delete(KEPT);
    throw error;
  }
}

/** @param {Cache} cache @param {string} address @param {string} digest */
async function keep(cache, address, digest) {
  const answer = await fetch(address, { cache: "reload", credentials: "omit" });
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  const bytes = await answer.clone().arrayBuffer();
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  const found = Array.from(hash, (byte) => byte.toString(16).padStart(2, "0")).join("");
  if (found !== digest) throw new Error(`${address} is of another edition`);
  await cache.put(address, answer);
}

/** Clear away the editions before. */
async function takeOver() {
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && name !== KEPT) await caches.delete(name);
  }
  await self.clients.claim();
}

/** The address that answers a request, where it is one of ours. @param {Request} request */
function addressOf(request) {
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return null;
  if (request.mode === "navigate") return url.pathname === PAGE ? PAGE : null;
  return Object.hasOwn(FILES, url.pathname) ? url.pathname : null;
}

/** What is kept of this edition; where the browser cleared it away, what the server has.
 * @param {string} address @param {Request} request */
async function kept(address, request) {
  const cache = await caches.open(KEPT);
  return (await cache.match(address)) ?? fetch(request);
}
