/**
 * The end of the plan: what is still open, the gates of the end, handing back.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { isPassed } from "../doing/gating.js";
import { fill, h } from "../dom.js";
import { bigButton, hexagon, link, notice } from "../parts.js";
import { address, go } from "../router.js";
import { openList } from "./open.js";
import { papers } from "./papers.js";
import { justWritten } from "./taken_back.js";

/** @param {HTMLElement} root @param {Context} context */
export function nothingLeft(root, context) {
  const { record } = context;
  const { state } = record;
  const open = record.outstanding();
  const closed = state.rows.closings.findLast(() => true)?.what === "closed";
  const planned = (record.pack.plan?.steps ?? []).length > 0;
  root.dataset.step = "none";
  fill(root,
    justWritten(context),
    h("article", { class: "card" },
      h("p", { class: "place" }, planned ? "Every step of the plan is done" : "No plan: nobody described this machine"),
      h("h1", {}, closed ? "Handed back" : open.length === 0 ? "Nothing outstanding" : `${open.length} outstanding`),
      hexagon(open.length === 0),
      openList(context, open)),
    closed ? reopen(context) : endGates(context),
    papers(record.job, ["record", "state-card", "handover"]));
}

/** @param {Context} context */
function endGates(context) {
  const { record } = context;
  const to = (/** @type {string} */ id) => address(["job", record.job, "gate", id]);
  const passed = isPassed(record.state, "handing-back", null);
  return h("div", { class: "actions two" },
    link("Gate, before closing up", to("closing-up"), { class: "big" }),
    link("Duties", address(["job", record.job, "duties"]), { class: "big" }),
    link(passed ? "Handing back: passed" : "Gate, before handing back", to("handing-back"),
      { class: "big", "data-tap": "handing-back" }),
    link("Everything else", address(["job", record.job, "all"]), { class: "big" }),
    passed ? bigButton("HAND BACK", () => handBack(context), { "data-tap": "hand-back" }) : null);
}

/** @param {Context} context */
async function handBack(context) {
  context.session.last = [(await context.record.write("closed", {})).id];
  go(address(["job", context.record.job]));
}

/** @param {Context} context */
const reopen = (context) =>
  h("div", { class: "actions two" },
    notice("plain", "This job is handed back."),
    bigButton("Open it again", async () => {
      await context.record.write("reopened", {});
      context.refresh();
    }));
