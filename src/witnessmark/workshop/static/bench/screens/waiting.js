/**
 * What waits to be sent, what was refused and why, and whether the phone may keep it all.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { fill, h } from "../dom.js";
import { bigButton, lines, notice, section } from "../parts.js";

/** @param {HTMLElement} root @param {Context} context */
async function waiting(root, context) {
  const [waits, refused] = await context.store.read(["outbox", "refused"], (/** @type {any} */ table) =>
    Promise.all([table("outbox").all(), table("refused").all()]));
  const { counts, sender } = context;
  const send = async (/** @type {() => Promise<any>} */ how) => {
    await how();
    context.refresh();
  };
  root.dataset.refused = String(refused.length);
  fill(root,
    h("h1", {}, waits.length === 0 ? "Everything is sent" : `${waits.length} wait to be sent`),
    h("p", {}, reachedWords(counts)),
    lines(kinds(waits)),
    bigButton(counts.sending ? "Sending" : "SEND NOW", () => send(() => sender.sendNow()), { "data-tap": "send-now" }),
    refused.length > 0 ? section(`Refused: ${refused.length}`,
      h("p", {}, "A refusal is no success. These stay on this phone."),
      lines(refused.map((/** @type {any} */ row) => `${row.kind} of ${row.job}: ${row.why ?? row.says ?? "no reason given"}`)),
      bigButton("Send these again", () => send(() => sender.sendRefusedAgain()))) : null,
    counts.kept === false ? notice("caution", "The browser did not promise to keep what is on this phone. Send soon, and add the bench to the home screen.") : null,
    edition(context));
}

/** @param {any} counts */
function reachedWords({ reached, standing }) {
  if (standing === "revoked") return "The workshop has shut this phone out. What was written here is still sent and looked at.";
  if (reached === null) return "The workshop was not tried yet.";
  return reached ? "The workshop was reached just now." : "The workshop cannot be reached from here. Work goes on; it is tried again and again.";
}

/** @param {{kind: string}[]} waits @returns {string[]} */
function kinds(waits) {
  const counted = new Map();
  for (const { kind } of waits) counted.set(kind, (counted.get(kind) ?? 0) + 1);
  const names = /** @type {{[kind: string]: string}} */ ({
    event: "entries", photo: "photos", job: "new jobs", pack: "job packs", private: "private words",
  });
  return [...counted].map(([kind, number]) => `${number} ${names[kind] ?? kind}`);
}

/** A new edition waits until somebody takes it. @param {Context} context */
function edition(context) {
  if (!context.takeEdition) return null;
  return section("A new edition is here",
    h("p", {}, "It is taken only when you say so, best between two jobs. What is written stays."),
    bigButton("Take the new edition", () => context.takeEdition(), { "data-tap": "edition" }));
}

export const routes = [["/waiting", waiting]];
