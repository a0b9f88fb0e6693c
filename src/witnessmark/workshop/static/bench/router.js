/**
 * Which screen is shown: hash addresses, so that a reload and the back key work offline.
 *
 * @typedef {{[name: string]: any}} Context
 * @typedef {{[name: string]: string}} Params
 * @typedef {(root: HTMLElement, context: Context, params: Params) => Promise<void> | void} Render
 */

/** @type {{pattern: string, parts: string[], render: Render}[]} */
const ROUTES = [];

/** Register a screen; `:name` in a pattern stands for one part of the address.
 * @param {string} pattern @param {Render} render */
export function route(pattern, render) {
  ROUTES.push({ pattern, parts: partsOf(pattern), render });
}

/** @param {string} address */
const partsOf = (address) => address.replace(/^#/, "").split("?")[0].split("/").filter(Boolean);

/** The screen of an address, with what its pattern's names stand for.
 * @param {string} address
 * @returns {{pattern: string, render: Render, params: Params} | null} */
export function found(address) {
  const parts = partsOf(address);
  for (const { pattern, parts: wanted, render } of ROUTES) {
    if (wanted.length !== parts.length) continue;
    if (!wanted.every((part, at) => part.startsWith(":") || part === parts[at])) continue;
    return { pattern, render, params: { ...asked(address), ...named(wanted, parts) } };
  }
  return null;
}

/** @param {string[]} wanted @param {string[]} parts @returns {Params} */
function named(wanted, parts) {
  const pairs = wanted
    .map((part, at) => [part, decodeURIComponent(parts[at])])
    .filter(([part]) => part.startsWith(":"));
  return Object.fromEntries(pairs.map(([part, value]) => [part.slice(1), value]));
}

/** What stands after the question mark. @param {string} address @returns {Params} */
const asked = (address) =>
  Object.fromEntries(new URLSearchParams(address.split("?")[1] ?? ""));

/** An address from its parts; null ends it early.
 * @param {(string | null | undefined)[]} parts @param {{[name: string]: string | null}} asks */
export function address(parts, asks = {}) {
  const path = parts.filter((each) => each !== null && each !== undefined);
  const given = Object.entries(asks).filter(([, value]) => value !== null);
  const after = new URLSearchParams(/** @type {any} */ (given)).toString();
  return `#/${path.map((each) => encodeURIComponent(String(each))).join("/")}${after ? `?${after}` : ""}`;
}

/** Go to a screen. @param {string} to */
export function go(to) {
  if (window.location.hash === to) window.dispatchEvent(new HashChangeEvent("hashchange"));
  else window.location.hash = to;
}
