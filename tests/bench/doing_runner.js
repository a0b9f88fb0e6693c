/** Follows plans with the bench's own reading of them, without a screen. */

import { Graph } from "/static/ledger/graph.js";
import { beginning, endAfter, nextEvent } from "/static/ledger/chains.js";
import { eventId } from "/static/ledger/events.js";
import { fold } from "/static/ledger/fold.js";
import { gate } from "/static/ledger/gates.js";
import { outstanding } from "/static/ledger/outstanding.js";
import { registers } from "/static/ledger/registers.js";
import { actOf, actOn, entriesFor } from "/static/bench/doing/acts.js";
import { askedBy, asksOf } from "/static/bench/doing/asks.js";
import { gatesOf, passOf } from "/static/bench/doing/gating.js";
import { inTheWay, legalNow } from "/static/bench/doing/legal.js";
import { nextStep, steps } from "/static/bench/doing/plan.js";

const PHOTO = "0".repeat(64);
const MINUTE = 60_000;

/** A job in memory: one device, a clock that goes on by itself. */
class Job {
  constructor(pack) {
    this.pack = pack;
    this.events = new Map();
    this.folded = null;
    this.end = beginning();
    this.wall = 1_800_000_000_000;
  }

  async write(type, fields = {}) {
    this.wall += MINUTE;
    const by = { job: "job-1", device: "phone-1", person: "ann", wall: this.wall };
    const event = nextEvent(this.end, by, type, fields);
    const id = await eventId(event);
    this.events.set(id, event);
    this.folded = null;
    this.end = endAfter(event, id);
    return id;
  }

  get state() {
    this.folded ??= fold(this.pack, new Graph(this.events), [PHOTO]);
    return this.folded;
  }
}

/** An answer to something asked: its first choice, or a figure. */
function answerTo(ask) {
  if (ask.how === "number") return ask.choices[0] ?? (ask.limits?.at_least ?? "1");
  if (ask.how === "setting") return "pointer in its notch, belt 20 °C";
  return ask.choices[0] ?? "said";
}

async function writeAct(job, act, card) {
  const asks = asksOf(job.state, act, card);
  const owed = asks.filter((ask) => ask.owed);
  const values = Object.fromEntries(
    owed.filter((ask) => ask.how !== "photo").map((ask) => [ask.word, answerTo(ask)]),
  );
  if (act.type === "block") values.within = true;
  const photos = owed.some((ask) => ask.how === "photo") ? [PHOTO] : [];
  const answers = { values, photos, note: null, also: [] };
  const entries = entriesFor(act, askedBy(job.state, act.object), answers);
  for (const { type, fields } of entries) await job.write(type, fields);
  return { asked: owed.map((ask) => ask.word), entries: entries.length };
}

/** Do what is next until nothing is; give what happened on the way. */
async function follow(job, most) {
  const [barred, gated, order, acts] = [[], [], [], []];
  for (let number = 0; number < most; number += 1) {
    const state = job.state;
    const step = nextStep(state);
    if (step === null) break;
    for (const each of gatesOf(state, step)) {
      const found = gate(state, each.id, "to start", each.object, job.wall + 30 * 24 * 60 * MINUTE);
      if (found.open.length > 0) gated.push([step.card.line, each.id, found.open[0].says]);
    }
    const act = actOf(state, step);
    for (const { says } of inTheWay(state, act)) barred.push([step.card.line, says]);
    order.push(step.number);
    const { asked } = await writeAct(job, act, step.card);
    acts.push([step.card.line, act.says, act.count, asked.join(", ")]);
  }
  return { barred, gated, order, acts };
}

/** Follow a whole plan and hand the machine back. */
export async function followed(pack) {
  const job = new Job(pack);
  await job.write("begin", { pack: "1".repeat(64) });
  const way = await follow(job, 1000);
  const open = outstanding(job.state).map((item) => item.says);
  const flags = job.state.rows.flags.map((row) => row.says);
  for (const row of registers(job.state)["duties that keep it"]) {
    await job.write("duty", { values: { duty: row.duty, limit: "seen", person: "ann", done: true } });
  }
  const back = gate(job.state, "handing-back", null, null, job.wall + 30 * 24 * 60 * MINUTE);
  const answered = Object.fromEntries(back.asks.map((asked) => [asked, "yes"]));
  await job.write("gate", passOf("handing-back", null, null, answered, "", []));
  await job.write("closed");
  const { state } = job;
  const left = steps(state).filter((step) => !step.done).map((step) => step.number);
  return {
    ...way, open, flags, clear: back.clear, left, after: outstanding(state).map((item) => item.says),
    flagsAfter: state.rows.flags.map((row) => row.says),
  };
}

/** Follow a plan until a step is next; give the job. */
async function until(pack, object, action) {
  const job = new Job(pack);
  await job.write("begin", { pack: "1".repeat(64) });
  for (let number = 0; number < 1000; number += 1) {
    const step = nextStep(job.state);
    if (step === null || (step.object === object && step.action === action)) return { job, step };
    await writeAct(job, actOf(job.state, step), step.card);
  }
  throw new Error("never next");
}

/** The acts of a step that is next, one after the other, until another step is. */
export async function actsAt(pack, object, action) {
  const { job, step } = await until(pack, object, action);
  const found = [];
  for (let now = step; now !== null && now.number === step.number; now = nextStep(job.state)) {
    const act = actOf(job.state, now);
    const asks = asksOf(job.state, act, now.card);
    found.push({
      says: act.says, count: act.count, torque: act.torque, stage: act.stage,
      writes: act.writes, owed: asks.filter((ask) => ask.owed).map((ask) => ask.word),
      asks: Object.fromEntries(asks.map((ask) => [ask.word, ask.choices])),
    });
    await writeAct(job, act, now.card);
  }
  return found;
}

/** After a stage is not known any more: what is next at the joint. */
export async function afterLosingCount(pack, object, action) {
  const { job, step } = await until(pack, object, action);
  await writeAct(job, actOf(job.state, step), step.card);
  await job.write("done", { action: "lose-count", object, values: { "why not known": "called away" } });
  const found = [];
  for (let number = 0; number < 6; number += 1) {
    const now = nextStep(job.state);
    if (now === null || now.object !== object) break;
    const act = actOf(job.state, now);
    found.push([act.says, act.writes.map((write) => write.action), inTheWay(job.state, act).length]);
    await writeAct(job, act, now.card);
  }
  return { found, open: outstanding(job.state).map((item) => item.says) };
}

/** What may be done at the start, and what is next once something else was done first. */
export async function somethingElseFirst(pack, object, action) {
  const job = new Job(pack);
  await job.write("begin", { pack: "1".repeat(64) });
  const first = nextStep(job.state);
  const legal = legalNow(job.state);
  await writeAct(job, actOn(job.state, action, object), null);
  const next = nextStep(job.state);
  const done = steps(job.state).filter((step) => step.done).map((step) => [step.action, step.object]);
  return {
    first: first.object, next: next.object, done, flags: job.state.rows.flags.length,
    legal: legal.map((each) => [each.action, each.object]), because: legal.map((each) => each.because),
  };
}
