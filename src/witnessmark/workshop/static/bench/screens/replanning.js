/**
 * A new plan, asked of the workshop and shown before it is taken.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { offerOf, rebaseOf } from "../doing/rebasing.js";
import { fill, h } from "../dom.js";
import { fetchPack } from "../incoming.js";
import { Link, UnreachedError } from "../link.js";
import { bigButton, lines, notice } from "../parts.js";
import { address } from "../router.js";

/** Ask for a plan from where the job stands, and offer it.
 * @param {HTMLElement} place @param {Context} context
 * @param {{struck: [string, string | null][], added: string[]}} changed
 * @param {(to: string) => void} leave */
export async function askNewPlan(place, context, changed, leave) {
  const { record, sender, known } = context;
  const home = address(["job", record.job]);
  try {
    // The workshop plans from what it holds: what was just written goes there first.
    await sender.sendNow();
    const answer = await new Link(known.pairing.secret).post(`/api/jobs/${record.job}/replan`, changed);
    const offer = offerOf(answer);
    fill(place, h("p", { class: "amount" }, offer.says), lines(offer.lines),
      offer.pack === null || offer.pack === record.packId ? null
        : bigButton("Take the new plan", () => take(context, answer, () => leave(home)), { "data-tap": "rebase" }));
    place.dataset.plan = offer.pack === null ? "none" : "offered";
  } catch (error) {
    const says = error instanceof UnreachedError
      ? "The workshop cannot be reached: the plan stays, and can be asked again from here later."
      : `The workshop made no plan: ${error instanceof Error ? error.message : error}`;
    fill(place, notice("plain", says));
    place.dataset.plan = "unreached";
  }
}

/** @param {Context} context @param {any} answer @param {() => void} then */
async function take(context, answer, then) {
  const { record, store, known, session } = context;
  await fetchPack(store, new Link(known.pairing.secret), record.job, answer.pack);
  await record.write("rebase", rebaseOf(answer));
  session.last = [];
  then();
}
