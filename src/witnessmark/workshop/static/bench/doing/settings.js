/** Settings of a tensioner in words, as registers and papers print them. */

/** Each act of tensioning, one after the other.
 * @param {{[word: string]: string}[]} acts @returns {string} */
export function settingText(acts) {
  return acts.map(oneText).filter(Boolean).join("; then ");
}

/** @param {{[word: string]: string}} act */
function oneText({ reading, "belt temperature": warm, pointer, direction }) {
  return [
    reading, warm ? `belt ${warm} °C` : "", pointer ? `pointer ${pointer}` : "", direction,
  ].filter(Boolean).join(", ");
}
