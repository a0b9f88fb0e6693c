/**
 * The bench: drawn on the phone from pack and log, with or without a network.
 *
 * This registers the screens and opens what the phone keeps; everything shown follows from it.
 */

import { routes as capture } from "./capture/routes.js";
import { Editions } from "./editions.js";
import { askToKeep, me } from "./me.js";
import { route } from "./router.js";
import { SCREENS } from "./screens/every.js";
import { startSending } from "./sending.js";
import { Shell } from "./shell.js";
import { openStore } from "./store.js";

for (const [pattern, render] of [...SCREENS, ...capture]) route(pattern, render);

/** @param {HTMLElement} bench */
async function begin(bench) {
  const store = await openStore();
  const editions = new Editions();
  const shell = new Shell(bench, { store, sender: startSending(store), editions }, await me(store));
  shell.listen();
  await shell.show();
  bench.dataset.ready = "";
  await editions.start();
  await askToKeep(store);
}

const bench = document.getElementById("bench");
if (bench) await begin(bench);
