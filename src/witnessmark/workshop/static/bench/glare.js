/** A switch for glare: black on white, heavier lines. It stays as it was set on this phone. */

const KEPT = "glare";

/** Look as it was left. */
export function glareAsKept() {
  if (localStorage.getItem(KEPT) === "on") document.documentElement.dataset.glare = "";
}

/** Switch, and keep it so. */
export function switchGlare() {
  const { dataset } = document.documentElement;
  if (dataset.glare === undefined) dataset.glare = "";
  else delete dataset.glare;
  localStorage.setItem(KEPT, dataset.glare === undefined ? "off" : "on");
}
