/**
 * Keeping the record as the first draft of a machine file, where the workshop is reachable.
 *
 * @typedef {import("../router.js").Context} Context
 */

import { h } from "../dom.js";
import { bigButton, lines, notice } from "../parts.js";
import { Link } from "../link.js";

/** @param {HTMLElement} root @param {Context} context @returns {HTMLElement} */
export function draftButton(root, context) {
  const place = h("div", { class: "draft", role: "status" });
  const keep = async () => {
    // The answer stays until somebody goes on: what is sent meanwhile does not draw over it.
    root.dataset.holding = "draft";
    place.replaceChildren(notice("plain", "Asking the workshop…"));
    place.replaceChildren(...(await asked(context)));
    place.dataset.answered = "";
  };
  return h("div", {}, bigButton("Keep as a draft machine file", () => void keep(), { "data-tap": "draft" }), place);
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
