/**
 * Trouble: seized, sheared, rounded, perished, missing, wrong part, cannot get at it from here.
 *
 * It is written at one tap; what it adds is shown, and a new plan is asked of the workshop when
 * that can be reached. The job moves to it only when the person takes it.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 */

import { nameOf } from "../../ledger/book.js";
import { KINDS, kindOfTrouble, kitLine, struckBy, troubleEntries } from "../doing/trouble.js";
import { capital } from "../doing/words.js";
import { fill, h } from "../dom.js";
import { bigButton, lines, link, photoTaker } from "../parts.js";
import { takePhoto } from "../photos_here.js";
import { address, go } from "../router.js";
import { askNewPlan } from "./replanning.js";

/** @param {HTMLElement} root @param {Context} context @param {Params} params */
function trouble(root, context, { object = "", action = "" }) {
  const { state } = context.record;
  const about = object === "" ? null : object;
  /** @type {Set<string>} */
  const pieces = new Set();
  fill(root,
    h("article", { class: "card" },
      h("p", { class: "place" }, "Trouble"),
      h("h1", {}, capital(about ? nameOf(state.book, about) : "the job")),
      piecesOf(state, about, pieces),
      h("div", { class: "choices" }, ...KINDS.map((kind) =>
        bigButton([h("b", {}, kind.says), h("small", {}, kind.adds[0])],
          () => write(root, context, kind.id, about, action || null, [...pieces]),
          { class: "big choice", "data-trouble": kind.id })))),
    h("div", { class: "actions two" }, link("Back", address(["job", context.record.job]), { class: "big" })));
}

/** Which of several are meant; none chosen means all.
 * @param {import("../../ledger/state.js").JobState} state @param {string | null} object
 * @param {Set<string>} chosen */
function piecesOf(state, object, chosen) {
  const rows = object === null ? [] : (state.book.objects.get(object)?.pieces ?? []);
  if (rows.length < 2) return null;
  return h("fieldset", { class: "pieces" }, h("legend", {}, "Which? None pressed means all."),
    ...rows.map((/** @type {any} */ row) => {
      const made = h("button", {
        type: "button", class: "piece", "aria-pressed": "false", "data-piece": row.id,
        onclick: () => {
          if (!chosen.delete(row.id)) chosen.add(row.id);
          made.setAttribute("aria-pressed", String(chosen.has(row.id)));
        },
      }, h("b", {}, row.id), h("small", {}, row.length ? `${row.length} mm` : ""));
      return made;
    }));
}

/** @param {HTMLElement} root @param {Context} context @param {string} kind
 * @param {string | null} object @param {string | null} action @param {string[]} pieces */
async function write(root, context, kind, object, action, pieces) {
  const { record, session } = context;
  const ids = [];
  root.dataset.holding = "trouble";
  for (const { type, fields } of troubleEntries(kind, object, pieces, { note: null, photos: [] })) {
    ids.push((await record.write(type, fields)).id);
  }
  session.last = ids;
  added(root, context, kind, object, action);
}

/** What the trouble adds. @param {HTMLElement} root @param {Context} context @param {string} kind
 * @param {string | null} object @param {string | null} action */
function added(root, context, kind, object, action) {
  const { record } = context;
  const known = kindOfTrouble(kind);
  const line = object === null ? null : kitLine(record.state, object);
  const leave = (/** @type {string} */ to) => {
    delete root.dataset.holding;
    go(to);
  };
  const plan = h("div", { role: "status", "data-plan": "" }, "Asking the workshop for a new plan …");
  fill(root,
    h("article", { class: "card" },
      h("p", { class: "place" }, "Written"),
      h("h1", {}, `${known?.says ?? kind}: ${object ? nameOf(record.state.book, object) : "the job"}`),
      h("p", { class: "amount" }, "It adds"),
      lines([...(known?.adds ?? []), ...(line && known?.found ? [`on the kit: ${line}`] : [])]),
      plan,
      photoTaker("PHOTO", (blob) => takePhoto(context, blob, object), { "data-tap": "photo" })),
    h("div", { class: "actions two" },
      bigButton("Something else first", () => leave(address(["job", record.job, "all"]))),
      bigButton("Back to the step", () => leave(address(["job", record.job])), { "data-tap": "back" })));
  const struck = object === null ? [] : struckBy(record.state, kind, object, action);
  void askNewPlan(plan, context, { struck, added: [] }, leave);
}

export const routes = [["/job/:job/trouble", trouble]];
