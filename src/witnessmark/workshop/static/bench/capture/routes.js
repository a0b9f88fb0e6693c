/** The screens of a machine that nobody has described, each with its address. */

import { close } from "./closing.js";
import { refitList } from "./list.js";
import { oneOther, others } from "./other.js";
import { begin, take } from "./take.js";
import { oneThing } from "./thing.js";

/** @type {[string, import("../router.js").Render][]} */
export const routes = /** @type {any} */ ([
  ["/take", begin],
  ["/take/new", begin],
  ["/take/:job", take],
  ["/take/:job/list", refitList],
  ["/take/:job/thing/:thing", oneThing],
  ["/take/:job/close/:thing", close],
  ["/take/:job/other", others],
  ["/take/:job/other/:kind", oneOther],
]);
