/**
 * DONE: what is owed is asked, one thing at a time, and then everything is written at once.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../doing/plan.js").Step} Step
 * @typedef {import("../doing/acts.js").Act} Act
 * @typedef {import("../doing/asks.js").Ask} Ask
 */

import { entriesFor } from "../doing/acts.js";
import { askedBy, asksOf } from "../doing/asks.js";
import { within } from "../doing/figures.js";
import { mustBeSeen } from "../doing/seen.js";
import { address, go } from "../router.js";
import { photosSince } from "../photos_here.js";
import { askAll } from "./asking.js";

/** Take a step as done. @param {HTMLElement} root @param {Context} context @param {Step} step
 * @param {Act} act */
export async function doneWith(root, context, step, act) {
  const { record, session } = context;
  const said = session.saidOf(step.object);
  const photos = [...new Set([...photosSince(record.state, step.object), ...said.photos])];
  const asks = asksOf(record.state, act, step.card)
    .filter((ask) => ask.owed && !Object.hasOwn(said.values, ask.word))
    .filter((ask) => ask.how !== "photo" || photos.length === 0);
  const answers = await askAll(root, context, step.card.line, asks);
  if (answers === null) return context.refresh();
  const values = judged(act, record.state, { ...said.values, ...answers.values });
  await writeDown(context, act, {
    values, photos: [...photos, ...answers.photos].slice(0, 64), note: said.note,
  });
  return go(address(["job", record.job]));
}

/** A reading of a work's own step says whether it keeps its limits.
 * @param {Act} act @param {import("../../ledger/state.js").JobState} state
 * @param {{[word: string]: any}} values */
function judged(act, state, values) {
  if (act.type !== "block") return values;
  const measure = state.pack.blocks?.[act.object ?? ""]?.measure ?? null;
  if (measure === null) return { ...values, within: true };
  if (typeof values.within === "boolean" || typeof values.reading !== "string") return values;
  return { ...values, within: within(values.reading, measure.at_least, measure.at_most) };
}

/** Write what an act writes, and what was said beside it.
 * @param {Context} context @param {Act} act
 * @param {{values: {[word: string]: any}, photos: string[], note: string | null}} answers */
async function writeDown(context, act, { values, photos, note }) {
  const { record, session } = context;
  const { "new part": part, ...rest } = values;
  const isNew = typeof part === "string" && part.startsWith("new");
  const also = isNew
    ? [{ type: "renewed", object: act.object, values: { part: part.replace(/^new,? ?/, "") || "new" } }] : [];
  const entries = entriesFor(act, askedBy(record.state, act.object), { values: rest, photos, note, also });
  const ids = [];
  for (const { type, fields } of entries) {
    if (mustBeSeen(context.person, record.state, fields.action ?? null, act.object)) {
      fields.values = { ...fields.values, to_be_seen: true };
    }
    ids.push((await record.write(type, fields)).id);
  }
  session.forget(act.object);
  session.last = ids;
}
