/** Papers of a job, at one tap: the workshop draws them, so it must be in reach. */

import { h } from "../dom.js";
import { link } from "../parts.js";

/** @type {{[name: string]: string}} */
const NAMES = {
  "handover-with-card": "Handover sheet and state card",
  handover: "Handover sheet",
  "state-card": "State card, to hang up",
  record: "Job record",
};

/** @param {string} job @param {string[]} names @returns {HTMLElement} */
export const papers = (job, names) =>
  h("nav", { class: "others", "aria-label": "Papers" }, ...names.map((name) =>
    link(NAMES[name] ?? name, `/jobs/${encodeURIComponent(job)}/papers/${name}.pdf`, {
      target: "_blank", rel: "noopener", "data-paper": name,
    })));
