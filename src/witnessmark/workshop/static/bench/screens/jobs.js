/**
 * The jobs: those on this phone and those the workshop has, each with what is outstanding.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { fill, h } from "../dom.js";
import { hexagon, link, notice } from "../parts.js";
import { address } from "../router.js";

/** @typedef {{id: string, title: string, machine: string, plate: string | null,
 *   outstanding: number | null, closed: boolean, here: boolean}} Line */

/** @param {HTMLElement} root @param {Context} context */
async function jobs(root, context) {
  const rows = await allJobs(context);
  const open = rows.filter((row) => !row.closed);
  const closed = rows.filter((row) => row.closed);
  fill(root,
    h("h1", {}, "Jobs"),
    standing(context),
    link([h("b", {}, "A machine nobody has described"), h("small", {}, "Begin with a photo of its plate")],
      "#/take", { class: "big", "data-tap": "take" }),
    list(open, "No job is open."),
    closed.length > 0 ? h("details", {}, h("summary", {}, `Handed back: ${closed.length}`), list(closed, "")) : null);
}

/** @param {Context} context */
function standing(context) {
  const { counts } = context;
  if (counts.standing === "revoked") {
    return notice("caution", "The workshop has shut this phone out. What waits here is still sent.");
  }
  return counts.kept === false
    ? notice("plain", "This browser may clear what is kept here when the phone runs full. Add the bench to the home screen, and send soon.")
    : null;
}

/** @param {Line[]} rows @param {string} otherwise */
function list(rows, otherwise) {
  if (rows.length === 0) return h("p", {}, otherwise);
  return h("ul", { class: "jobs" }, ...rows.map((row) =>
    h("li", {}, h("a", { class: "big job", href: address(["job", row.id]), "data-job": row.id },
      hexagon(row.outstanding === 0),
      h("span", {}, h("b", {}, row.title), h("small", {}, words(row)))))));
}

/** @param {Line} row */
function words(row) {
  const open = row.outstanding === null ? ""
    : row.outstanding === 0 ? "nothing outstanding" : `${row.outstanding} outstanding`;
  return [row.plate, row.machine, open, row.here ? "on this phone" : "at the workshop"]
    .filter(Boolean).join(" · ");
}

/** @param {Context} context @returns {Promise<Line[]>} */
async function allJobs(context) {
  const here = await context.store.read(["jobs"], (/** @type {any} */ table) => table("jobs").all());
  const listed = new Map((context.known.list ?? []).map((/** @type {any} */ row) => [row.id, row]));
  const known = new Set(here.map((/** @type {any} */ row) => row.id));
  const mine = here.map((/** @type {any} */ row) => line(row.id, row.title, listed.get(row.id), true));
  const others = [...listed.values()].filter((row) => !known.has(row.id));
  return [...mine, ...others.map((row) => line(row.id, row.title, row, false))];
}

/** @param {string} id @param {string} title @param {any} row @param {boolean} here @returns {Line} */
const line = (id, title, row, here) => ({
  id, title: title ?? row?.title ?? id, machine: row?.machine ?? "", plate: row?.plate ?? null,
  outstanding: row?.outstanding ?? null, closed: row?.closed ?? false, here,
});

export const routes = [["/", jobs]];
