/**
 * The refit list: last off, first on; what came off against what is back.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("./things.js").Thing} Thing
 */

import { fill, h } from "../dom.js";
import { bigButton, button, hexagon, lines, link, section } from "../parts.js";
import { address, go } from "../router.js";
import { justWritten } from "../screens/taken_back.js";
import { draftButton } from "./drafted.js";
import { thumbnail } from "./keeping.js";
import { countLine, thingAddress } from "./take.js";
import { heldStillOff, labels, refitOrder, thingsOf, wordsOf } from "./things.js";

/** @param {HTMLElement} root @param {Context} context */
export function refitList(root, context) {
  const { record } = context;
  const things = thingsOf(record.state);
  const open = refitOrder(things).filter((each) => !each.atRest);
  const back = things.filter((each) => each.atRest).reverse();
  root.dataset.open = String(open.length);
  fill(root,
    justWritten(context),
    h("h1", {}, open.length === 0 ? "Everything is back" : "Last off, first on"),
    countLine(things),
    h("ol", { class: "refit" }, ...open.map((each, at) => row(context, things, each, at === 0))),
    putIn(context),
    labelled(things),
    figures(context),
    back.length > 0
      ? h("details", {}, h("summary", {}, `Back on: ${back.length}`),
        h("ul", { class: "taken" }, ...back.map((each) => h("li", {}, hexagon(true), " ", wordsOf(each)))))
      : null,
    h("div", { class: "actions two" },
      link("Back to the shutter", address(["take", record.job]), { class: "big", "data-tap": "take" }),
      link("Gates and handing back", address(["job", record.job, "gates"]), { class: "big" })),
    draftButton(context));
}

/** @param {Context} context @param {Thing[]} things @param {Thing} thing @param {boolean} isNext */
function row(context, things, thing, isNext) {
  const lies = thing.values["where it lies"];
  const before = heldStillOff(things, thing);
  return h("li", { class: isNext ? "next" : "", "data-thing": thing.id },
    h("a", { class: "what", href: thingAddress(context, thing) },
      thumbnail(context, thing.photos[0], thing.name),
      h("span", {}, h("b", {}, wordsOf(thing)),
        h("small", {}, [thing.kind === "joint" && thing.of > 1 ? `${thing.on} of ${thing.of} on` : thing.says, lies]
          .filter(Boolean).join(" · ")))),
    before.length > 0 ? h("p", { class: "first" }, `First: ${before.map((each) => each.name).join(", ")}`) : null,
    closing(context, thing));
}

/** How a thing is put back. @param {Context} context @param {Thing} thing */
function closing(context, thing) {
  if (thing.kind === "part") return closeButton("IT IS ON", () => refit(context, thing), thing);
  const words = { joint: "IN AND TIGHT", lock: "IT IS OUT", circuit: "FILLED" };
  const says = words[/** @type {keyof typeof words} */ (thing.kind)] ?? "BACK AS IT WAS";
  return closeButton(says, () => go(address(["take", context.record.job, "close", thing.id])), thing);
}

/** @param {string} says @param {() => unknown} tapped @param {Thing} thing */
const closeButton = (says, tapped, thing) =>
  bigButton(says, () => void tapped(), { "data-tap": "close", "data-close": thing.id });

/** @param {Context} context @param {Thing} part */
async function refit(context, part) {
  const action = part.state === "moved" ? "put-back" : "refit";
  const { id } = await context.record.write("done", { action, object: part.id, values: {} });
  context.session.last = [id];
}

/** Caps, tools and rags that are in. @param {Context} context */
function putIn(context) {
  const open = [...context.record.state.put].filter(([, each]) => each.in > each.out || each.dropped > each.found);
  if (open.length === 0) return null;
  return section("Put in, to come out again", h("ul", { class: "taken" }, ...open.map(([key, each]) =>
    h("li", { class: "put" }, h("span", {}, `${each.what ?? key}${each.dropped > each.found ? ": dropped" : ""}`),
      button(each.dropped > each.found ? "It is found" : "It is out", () => void context.record.write("put", {
        object: each.what ? null : key,
        values: { what: each.what ?? key, kind: each.kind ?? null, how: each.dropped > each.found ? "found" : "out" },
      }), { "data-tap": "out" })))));
}

/** What to write on bags and trays. @param {Thing[]} things */
function labelled(things) {
  const rows = labels(things);
  if (rows.length === 0) return null;
  return section("Write on the bags and trays",
    lines(rows.map(({ place, says }) => [h("b", {}, place), `: ${says.join("; ")}`]), "labels"));
}

/** How joints were tightened, as papers print it. @param {Context} context */
function figures(context) {
  const rows = context.record.registers(context.now()).figures;
  if (rows.length === 0) return null;
  return section("How tight", lines(rows.map((/** @type {any} */ each) =>
    `${each.says}${each.how ? ` (${each.how})` : ""}`), "figures"));
}
