/** Every screen of a machine that is described, with its address. */

import { routes as jobs } from "./jobs.js";
import { routes as open } from "./open.js";
import { routes as step } from "./step.js";
import { routes as stopped } from "./stopped.js";
import { routes as waiting } from "./waiting.js";
import { routes as who } from "./who.js";

/** @type {[string, import("../router.js").Render][]} */
export const SCREENS = /** @type {any} */ ([...jobs, ...who, ...waiting, ...step, ...stopped, ...open]);
