/** Gives what the JavaScript side answers to vectors, and compares it with what they expect. */

/** The modules under `base`: the product's, or a mutant's of them. */
async function ledger(base) {
  const names = ["canonical", "events", "fold", "gates", "graph", "outstanding", "registers"];
  const modules = await Promise.all(names.map((name) => import(`${base}/ledger/${name}.js`)));
  return Object.assign({}, ...modules.map((module) => ({ ...module })));
}

async function answer({ Graph, eventId, fold, gate, outstanding, registers }, pack, vector) {
  const events = new Map();
  for (const event of vector.events) events.set(await eventId(event), event);
  const graph = new Graph(events);
  const state = fold(pack, graph, vector.held);
  const lines = Object.entries(registers(state, vector.now));
  const { order, forks, gaps, unknown } = graph;
  return {
    order,
    heads: graph.heads(),
    forks,
    gaps,
    unknown,
    state: state.asData(),
    outstanding: outstanding(state),
    registers: Object.fromEntries(lines.filter(([, rows]) => rows.length > 0)),
    gates: vector.asks.map(([id, purpose, object]) => gate(state, id, purpose, object, vector.now)),
  };
}

/** What is answered to each vector; an error, where there is one, in words. */
export async function answers(base, packs, vectors) {
  const modules = await ledger(base);
  const found = [];
  for (const vector of vectors) found.push(await answer(modules, packs[vector.pack], vector));
  return found;
}

/** Work ids out again where a file writes the number of an event: `«3»`. */
function withIds(text, known) {
  return text.replace(/«(\d+)(\/8)?»/g, (_, number, short) =>
    short ? known[number].slice(0, 8) : known[number]);
}

async function unlabelled({ eventId }, vector) {
  const known = [];
  const events = [];
  for (const event of vector.events) {
    events.push(JSON.parse(withIds(JSON.stringify(event), known)));
    known.push(await eventId(events[events.length - 1]));
  }
  const rest = JSON.parse(withIds(JSON.stringify({ ...vector, events: [] }), known));
  return { ...rest, events };
}

/** Files fetched already. */
const files = new Map();

/** Run a file of vectors; give how many there are and the first that are answered otherwise.
 *
 * With `few` it stops at the first difference. */
export async function differences(base, address, few = false) {
  files.set(address, files.get(address) ?? (await fetch(address)).json());
  const { packs, vectors } = await files.get(address);
  const modules = await ledger(base);
  const found = [];
  for (const [number, each] of vectors.entries()) {
    if (few && found.length > 0) break;
    try {
      const vector = await unlabelled(modules, each);
      const got = await answer(modules, packs[vector.pack], vector);
      for (const [part, wanted] of Object.entries(vector.expected)) {
        const [is, should] = [got[part], wanted].map((value) => modules.canonicalText(value));
        if (is !== should) found.push({ number, part, ...firstDifference(is, should) });
      }
    } catch (error) {
      found.push({ number, part: "error", is: String(error.stack ?? error), should: "" });
    }
  }
  return { count: vectors.length, found: found.slice(0, 20), failed: found.length };
}

function firstDifference(is, should) {
  let at = 0;
  while (at < is.length && is[at] === should[at]) at += 1;
  const from = Math.max(0, at - 60);
  return { is: is.slice(from, at + 120), should: should.slice(from, at + 120) };
}

/** What the modules say of themselves: versions, types and what they need. */
export async function eventTypes(base) {
  const { NEEDS, VERSION } = await import(`${base}/ledger/event_types.js`);
  return { version: VERSION, needs: Object.fromEntries(NEEDS) };
}

/** Check each event, given as text; give the field it is refused for, or null. */
export async function refusals(base, texts) {
  const { eventId, EventRefusedError } = await import(`${base}/ledger/events.js`);
  const found = [];
  for (const text of texts) {
    try {
      await eventId(JSON.parse(text));
      found.push(null);
    } catch (error) {
      found.push(error instanceof EventRefusedError ? error.where : String(error));
    }
  }
  return found;
}

/** Read frozen events and give each as this edition reads it; then one that says `made_tight`
 * for the action, in a version before the first, through a step that knows what it meant. */
export async function readOlder(base, rows, older) {
  const { readEvent } = await import(`${base}/ledger/events.js`);
  const { Graph } = await import(`${base}/ledger/graph.js`);
  const { upcast } = await import(`${base}/ledger/upcasting.js`);
  const events = new Map();
  for (const { id, bytes } of rows) {
    events.set(id, await readEvent(new TextEncoder().encode(bytes), id));
  }
  const step = ({ values, ...event }) => ({ ...event, action: values.made_tight, values: {}, seq: 9 });
  const before = JSON.stringify(older);
  const read = (event) => upcast(event, new Map([[0, step]]));
  const graph = new Graph(new Map([["older", older]]), read);
  return {
    frozen: [...new Graph(events).events.values()],
    older: graph.events.get("older"),
    unchanged: JSON.stringify(older) === before,
    refused: refusalOf(() => upcast(older)),
  };
}

function refusalOf(act) {
  try {
    return act() && null;
  } catch (error) {
    return error.message;
  }
}
