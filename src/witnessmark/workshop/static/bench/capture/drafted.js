/**
 * Keeping the record as the first draft of a machine file, where the workshop is reachable.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { h } from "../dom.js";
import { bigButton, lines, notice } from "../parts.js";
import { Link } from "../link.js";

/** What the workshop last answered, by job: kept while the page is open, and shown on whatever
 * is drawn by then. @type {Map<string, (Node | string)[]>} */
const ANSWERED = new Map();

/** @param {Context} context @returns {HTMLElement} */
export function draftButton(context) {
  const { job } = context.record;
  const known = ANSWERED.get(job);
  const keep = async () => {
    ANSWERED.set(job, [notice("plain", "Asking the workshop…")]);
    context.refresh();
    ANSWERED.set(job, [h("div", { "data-answered": true }, ...(await asked(context)))]);
    context.refresh();
  };
  return h("div", {},
    bigButton("Keep as a draft machine file", () => void keep(), { "data-tap": "draft" }),
    h("div", { class: "draft", role: "status" }, ...(known ?? [])));
}

/** @param {Context} context @returns {Promise<(Node | string)[]>} */
async function asked(context) {
  const { waiting } = await context.sender.sendNow();
  if (waiting > 0) {
    return [notice("caution", "Some entries are not sent yet. Try again where the workshop can be reached.")];
  }
  try {
    const link = new Link(context.known.pairing.secret);
    const said = await link.post(`/api/jobs/${context.record.job}/draft`, {});
    if (said.none !== null) return [notice("caution", said.none)];
    const few = said.complaints.slice(0, 12).map((/** @type {{says: string}} */ each) => each.says);
    return [
      notice("plain", `Kept as ${said.file}.`, said.why_no_plan === ""
        ? " The next job on such a machine can be planned from it."
        : ` Before a job can be planned from it, this is missing:`),
      ...[lines(few)].filter((each) => each !== null),
    ];
  } catch (error) {
    return [notice("caution", error instanceof Error ? error.message : String(error))];
  }
}
