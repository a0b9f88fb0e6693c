/**
 * Elements made by hand: text is always text, never markup.
 *
 * @typedef {Node | string | number | null | undefined | false} Child
 */

const SVG = "http://www.w3.org/2000/svg";

/**
 * Make an element. `on…` attributes are listeners, `class` and the rest are set as they are;
 * `true` sets an empty attribute; what is null, undefined or false is left out.
 * @param {string} tag
 * @param {{[name: string]: any}} attributes
 * @param {...(Child | Child[])} children
 * @returns {HTMLElement}
 */
export function h(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  give(made, attributes);
  made.append(...shown(children));
  return made;
}

/** Make an element of a drawing. @param {string} tag @param {{[name: string]: any}} attributes
 * @param {...SVGElement} children @returns {SVGElement} */
export function drawn(tag, attributes, ...children) {
  const made = /** @type {SVGElement} */ (document.createElementNS(SVG, tag));
  give(made, attributes);
  made.append(...children);
  return made;
}

/** @param {Element} element @param {{[name: string]: any}} attributes */
function give(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
}

/** @param {(Child | Child[])[]} children @returns {(Node | string)[]} */
function shown(children) {
  return children
    .flat()
    .filter((each) => each !== null && each !== undefined && each !== false)
    .map((each) => (typeof each === "number" ? String(each) : /** @type {Node | string} */ (each)));
}

/** Put new things where others were; what had the focus keeps it, if it is there again.
 * @param {Element} place @param {...(Child | Child[])} children */
export function fill(place, ...children) {
  const key = document.activeElement?.getAttribute("data-key");
  const had = key !== null && key !== undefined && place.contains(document.activeElement);
  place.replaceChildren(...shown(children));
  if (!had) return;
  /** @type {HTMLElement | null} */
  const again = place.querySelector(`[data-key="${CSS.escape(key)}"]`);
  again?.focus({ preventScroll: true });
}
