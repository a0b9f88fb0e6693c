/** Every screen of a machine that is described, with its address. */

import { routes as all } from "./all.js";
import { routes as duties } from "./duties.js";
import { routes as exception } from "./exception.js";
import { routes as gates } from "./gates.js";
import { routes as jobs } from "./jobs.js";
import { routes as log } from "./log.js";
import { routes as look } from "./look.js";
import { routes as odd } from "./odd.js";
import { routes as open } from "./open.js";
import { routes as put } from "./put.js";
import { routes as reading } from "./reading.js";
import { routes as registers } from "./registers.js";
import { routes as saying } from "./saying.js";
import { routes as step } from "./step.js";
import { routes as stopped } from "./stopped.js";
import { routes as trouble } from "./trouble.js";
import { routes as waiting } from "./waiting.js";
import { routes as who } from "./who.js";

/** @type {[string, import("../router.js").Render][]} */
export const SCREENS = /** @type {any} */ ([
  ...jobs, ...who, ...waiting, ...step, ...stopped, ...open, ...all, ...registers, ...gates, ...log,
  ...trouble, ...odd, ...exception, ...look, ...put, ...reading, ...duties, ...saying,
]);
