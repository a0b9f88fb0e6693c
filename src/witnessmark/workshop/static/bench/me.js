/**
 * Who this phone is: its pairing with a workshop, the people there, and who holds it now.
 *
 * @typedef {import("./store.js").Store} Store
 * @typedef {{[key: string]: any}} Row
 * @typedef {{device: {id: string, name: string}, secret: string}} Pairing
 * @typedef {{id: string, name: string, role: string, may_do: string[] | null}} Person
 * @typedef {"paired" | "revoked" | "unknown"} Standing how the workshop last knew this phone
 */

/** All words kept of the phone itself. */
const WORDS = ["pairing", "member", "about", "person", "epoch", "standing", "kept", "list"];

/** What is known of this phone: `{pairing, member, about, person, epoch, standing, kept, list}`, each
 * null where it is not known. `about` is the workshop's last answer: device, member, people,
 * edition, blank. `list` is its last list of jobs. @param {Store} store @returns {Promise<Row>} */
export function me(store) {
  return store.read(["me"], async (table) => {
    const found = await Promise.all(WORDS.map((word) => table("me").get(word)));
    return Object.fromEntries(WORDS.map((word, at) => [word, found[at] ?? null]));
  });
}

/** Keep words of the phone itself; null forgets one. @param {Store} store @param {Row} words */
export async function keepOfMe(store, words) {
  await store.change(["me"], async (table) => {
    await Promise.all(
      Object.entries(words).map(([word, value]) =>
        value === null ? table("me").delete(word) : table("me").put(value, word)),
    );
  });
  store.tell("me", { words: Object.keys(words) });
}

/** Take the device and secret that a pairing gave. Whoever the workshop then says holds the
 * phone is chosen, until somebody else is. @param {Store} store @param {Pairing} pairing */
export const pairedAs = (store, { device, secret }) =>
  keepOfMe(store, { pairing: { device, secret }, standing: "paired" });

/** Pair this phone by the code that the workshop shows. @param {Store} store
 * @param {string} code @param {string} name what the phone shall be called
 * @returns {Promise<{paired: boolean, says: string | null}>} */
export async function pairWith(store, code, name) {
  const answer = await fetch("/api/pair", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ code, name }),
    signal: AbortSignal.timeout(8000),
  });
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok || typeof said.secret !== "string") {
    return { paired: false, says: typeof said.detail === "string" ? said.detail : null };
  }
  const device = typeof said.device === "string" ? { id: said.device, name } : said.device;
  await pairedAs(store, { device, secret: said.secret });
  return { paired: true, says: null };
}

/** Who holds the phone: the one chosen, else the one it was paired with; null if not known.
 * @param {Store} store @returns {Promise<Person | null>} */
export async function person(store) {
  const { about, person: chosen } = await me(store);
  const id = chosen ?? about?.member?.id;
  return about?.people?.find((/** @type {Person} */ each) => each.id === id) ?? about?.member ?? null;
}

/** Say who holds the phone from now on. @param {Store} store @param {string} id */
export const choosePerson = (store, id) => keepOfMe(store, { person: id });

/** Ask the browser not to clear what is kept here, and keep its answer in `kept`: screens say
 * so when it refused. @param {Store} store @returns {Promise<boolean>} */
export async function askToKeep(store) {
  const storage = navigator.storage;
  const kept = (await storage?.persisted?.()) || (await storage?.persist?.()) || false;
  await keepOfMe(store, { kept });
  return kept;
}
