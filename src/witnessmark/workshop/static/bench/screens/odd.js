/**
 * Odd things: where people did not agree, flags, and entries that are missing or twice there.
 * A person settles each; nothing settles itself.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../router.js").Params} Params
 */

import { disputes, namedBy, settles, toSettle } from "../doing/settling.js";
import { fill, h } from "../dom.js";
import { bigButton, hexagon, labelled, lines, link, notice, section, words } from "../parts.js";
import { address, go } from "../router.js";
import { showHeld } from "./held.js";

const PLAIN = ["gap", "fork", "unread"];

/** @param {HTMLElement} root @param {Context} context */
function oddThings(root, context) {
  const { record } = context;
  const { state } = record;
  const disputed = disputes(state);
  const rest = toSettle(state).filter((item) => item.kind === "flag");
  const bare = record.outstanding().filter((/** @type {any} */ item) => PLAIN.includes(item.kind));
  const none = disputed.length + rest.length + bare.length === 0;
  root.dataset.odd = String(disputed.length + rest.length + bare.length);
  const held = h("div", { role: "status" });
  fill(root, h("h1", {}, none ? "Nothing odd" : "Odd things"),
    ...disputed.map((each) => dispute(context, each)),
    rest.length > 0 ? section("Written against a rule", h("ol", { class: "open-list" }, ...rest.map((item) =>
      h("li", {}, h("p", {}, hexagon(false), h("span", {}, item.says)),
        link("Settle it", address(["job", record.job, "settle"], { item: item.id })))))) : null,
    bare.length > 0 ? section("Missing, or twice there",
      h("p", {}, "These clear when the other device is heard; a fork is settled by the workshop's lead."),
      lines(bare.map((/** @type {any} */ item) => item.says))) : null,
    held);
  void showHeld(held, context);
}

/** @param {Context} context @param {import("../doing/settling.js").Dispute} each */
function dispute(context, each) {
  const why = words({});
  const choose = async (/** @type {string} */ stands) => {
    const fields = settles(each, stands, why.value.trim());
    context.session.last = [(await context.record.write("settle", fields)).id];
    go(address(["job", context.record.job]));
  };
  const which = each.pieces.length > 0 ? `, number ${each.pieces.join(", ")}` : "";
  return h("section", { class: "again", "data-dispute": each.object },
    h("h2", {}, `${each.says}${which}`),
    h("p", {}, "Two people wrote, neither knowing of the other. Look at it, then say what stands. Until then it reads as the least finished."),
    h("div", { class: "choices" }, ...each.sides.map((side) =>
      bigButton(side.says, () => choose(side.state), { class: "big choice", "data-stands": side.state }))),
    labelled("What you looked at", why));
}

/** Settle one outstanding thing by a person's word. @param {HTMLElement} root
 * @param {Context} context @param {Params} params */
function settleOne(root, context, { item: id = "" }) {
  const { record, session } = context;
  const item = record.outstanding().find((/** @type {any} */ each) => each.id === id);
  if (item === undefined) return go(address(["job", record.job, "open"]));
  const why = words({ "data-field": "why" });
  const says = h("div", { role: "status" });
  const settle = async () => {
    if (why.value.trim() === "") {
      says.replaceChildren(notice("caution", "Say what was done or seen."));
      return why.focus();
    }
    const fields = { object: item.object, values: { settles: [namedBy(item)] }, note: why.value.trim() };
    session.last = [(await record.write("settle", fields)).id];
    return go(address(["job", record.job, "open"]));
  };
  return fill(root, h("article", { class: "card" },
    h("p", { class: "place" }, "Settle"), h("h1", {}, item.says),
    labelled("What was done, or what you saw", why), says),
  h("div", { class: "actions two" }, bigButton("SETTLE", settle, { "data-tap": "settle" }),
    link("Back", address(["job", record.job, "open"]), { class: "big" })));
}

export const routes = [["/job/:job/odd", oddThings], ["/job/:job/settle", settleOne]];
