/** The page on which a phone is paired: gives the code to the workshop, keeps the secret. */

import { pairWith } from "../bench/me.js";
import { openStore } from "../bench/store.js";

const form = /** @type {HTMLFormElement} */ (document.getElementById("pair"));
const says = /** @type {HTMLElement} */ (document.getElementById("says"));

/** Say what went wrong, where it is read out too. @param {string} text */
function say(text) {
  says.textContent = text;
  says.hidden = false;
}

/** Pair this browser and go on to the bench. */
async function pair() {
  const [code, name] = ["code", "called"].map((id) => String(new FormData(form).get(id) ?? "").trim());
  if (!window.isSecureContext) {
    say("This page was not opened over a safe address: a phone can keep nothing here. Ask for the address that begins with https.");
    return;
  }
  const { paired, says: why } = await pairWith(await openStore(), code, name);
  if (paired) location.assign("/bench/");
  else say(why ?? "The workshop did not take it. Ask for a new code.");
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  pair().catch(() => say("The workshop cannot be reached. Is this phone on its network?"));
});
document.documentElement.dataset.ready = "";
