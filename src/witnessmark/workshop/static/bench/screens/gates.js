/**
 * Gates by name: what is open before each, and passing them. The pass is refused with what is
 * open named; the record never is.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 */

import { nameOf } from "../../ledger/book.js";
import { isPassed, passOf } from "../doing/gating.js";
import { fill, h } from "../dom.js";
import { bigButton, hexagon, labelled, lines, link, more, notice, words } from "../parts.js";
import { address, go } from "../router.js";
import { as, byName } from "./asking_pin.js";

/** @param {HTMLElement} root @param {Context} context */
function everyGate(root, context) {
  const { record } = context;
  const rows = [...record.state.book.gates.values()].map((row) => {
    const purpose = row.purposes[0] ?? null;
    const { open } = record.gate(row.id, purpose, null, context.now());
    const passed = isPassed(record.state, row.id, null);
    const says = open.length > 0 ? `${open.length} open: ${open[0].says}` : passed ? "passed" : "nothing open";
    return h("li", { "data-gate": row.id }, link(
      [hexagon(passed && open.length === 0), h("span", {}, h("b", {}, `${row.name}`), h("small", {}, says))],
      address(["job", record.job, "gate", row.id]), { class: "lesser wide gate" }));
  });
  fill(root, h("h1", {}, "Gates"), h("ul", { class: "jobs" }, ...rows));
}

/** One gate. @param {HTMLElement} root @param {Context} context @param {Params} params */
function oneGate(root, context, { gate, object = "", purpose = "" }) {
  const { record } = context;
  const row = record.state.book.gates.get(gate);
  if (row === undefined) return go(address(["job", record.job, "gates"]));
  const about = object === "" ? null : object;
  const wanted = purpose === "" ? null : purpose;
  const found = record.gate(gate, wanted, about, context.now());
  const { open } = found;
  root.dataset.open = String(open.length);
  return fill(root,
    h("article", { class: "card" },
      h("p", { class: "place" }, "Gate"),
      h("h1", {}, `${row.name[0].toUpperCase()}${row.name.slice(1)}`),
      about ? h("p", { class: "amount" }, nameOf(record.state.book, about)) : null,
      row.purposes.length > 0 ? purposes(record.job, row, wanted, about) : null,
      open.length > 0 ? h("p", {}, h("b", {}, `Open: ${open.length}`)) : h("p", {}, "Nothing is open."),
      lines(open.map((/** @type {any} */ each) => each.says), "lines open-here")),
    passing(root, context, { row, about, wanted, open, passable: found.passable }));
}

/** @param {string} job @param {any} row @param {string | null} wanted @param {string | null} about */
const purposes = (job, row, wanted, about) =>
  h("div", { class: "choices" }, ...row.purposes.map((/** @type {string} */ each) =>
    link(`${each}${each === wanted ? " ✓" : ""}`, address(["job", job, "gate", row.id], { purpose: each, object: about }),
      { class: "big choice", "aria-current": each === wanted ? "true" : null })));

/** @param {HTMLElement} root @param {Context} context
 * @param {{row: any, about: string | null, wanted: string | null, open: any[], passable: boolean}} gate */
function passing(root, context, gate) {
  const { row, open, passable } = gate;
  if (!passable) {
    return notice("caution", h("b", {}, "This gate cannot be passed now, by anybody."), lines(open.map((each) => each.says)));
  }
  const asks = row.asks.map((/** @type {string} */ asked) => [asked, words({ "data-answer": asked })]);
  /** @type {Map<string, string>} */
  const answered = context.session.answersOf(`${row.id} ${gate.about ?? ""}`);
  /** @param {string} reason @param {string | null} pin where the PIN of the name was checked */
  const pass = (reason, pin) => {
    for (const [asked, field] of asks) if (field.value.trim()) answered.set(asked, field.value.trim());
    return write(context, gate, answered, reason, pin);
  };
  return h("div", {}, ...asks.map(([asked, field]) => question(asked, field, answered)),
    open.length === 0
      ? bigButton("PASS", () => pass("", null), { "data-tap": "pass" })
      : byReason(root, context, row, pass));
}

/** A question of the gate: answered yes at one tap, or in words.
 * @param {string} asked @param {HTMLInputElement} field @param {Map<string, string>} answered */
function question(asked, field, answered) {
  const yes = h("button", {
    type: "button", class: "big choice", "data-tap": "answer", "aria-pressed": String(answered.has(asked)),
    onclick: () => {
      if (!answered.delete(asked)) answered.set(asked, "yes");
      yes.setAttribute("aria-pressed", String(answered.has(asked)));
    },
  }, h("span", {}, asked));
  return h("div", { class: "question" }, yes, more("In words", labelled(asked, field)));
}

/** @param {HTMLElement} root @param {Context} context @param {any} row
 * @param {(reason: string, pin: string | null) => Promise<void>} pass */
function byReason(root, context, row, pass) {
  const reason = words({ "data-field": "reason" });
  const name = async () => {
    const why = reason.value.trim();
    if (why === "") return reason.focus();
    const person = await byName(root, context, `${row.name}: passed with something open`);
    if (person !== null) await as(context, person, () => pass(why, person.checked));
    return context.refresh();
  };
  return h("div", { class: "other" },
    notice("caution", h("b", {}, "Something is open. "), "It can be passed by a named person with a reason; both are printed on every paper."),
    labelled("Reason", reason), bigButton("Pass by name", name, { "data-tap": "pass-by-name" }));
}

/** @param {Context} context @param {any} gate @param {Map<string, string>} answered
 * @param {string} reason @param {string | null} pin */
async function write(context, { row, about, wanted }, answered, reason, pin) {
  const { record, session } = context;
  const seen = record.graph.heads();
  const pass = passOf(row.id, wanted, about, Object.fromEntries(answered), reason, seen);
  if (pin !== null) Object.assign(pass.values, { pin });
  session.answers.delete(`${row.id} ${about ?? ""}`);
  session.last = [(await record.write("gate", pass)).id];
  go(address(["job", record.job]));
}

export const routes = [["/job/:job/gates", everyGate], ["/job/:job/gate/:gate", oneGate]];
