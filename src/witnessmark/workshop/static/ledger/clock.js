/**
 * The hybrid logical clock of an event: near the wall clock, never behind what was seen.
 *
 * After Kulkarni, Demirbas and others, "Logical Physical Clocks" (2014): milliseconds of the
 * wall clock where they have moved on, and a counter where they have not. The clock only settles
 * the order of events that knew nothing of each other; a wall clock wrong by days does no harm.
 *
 * @typedef {[number, number]} Clock milliseconds and a counter
 */

/** @type {Readonly<Clock>} */
export const START = Object.freeze(/** @type {Clock} */ ([0, 0]));

/** The clock of a device's next event.
 * @param {Readonly<Clock>} latest the latest the device has written or seen
 * @param {number} wall what its wall clock says now, in whole milliseconds
 * @returns {Clock} */
export const tick = (latest, wall) => (wall > latest[0] ? [wall, 0] : [latest[0], latest[1] + 1]);

/** The latest of the clocks that a device has written or seen.
 * @param {Iterable<Readonly<Clock>>} clocks @returns {Clock} */
export function latestOf(clocks) {
  let [milliseconds, counter] = START;
  for (const [later, count] of clocks) {
    if (later < milliseconds || (later === milliseconds && count <= counter)) continue;
    [milliseconds, counter] = [later, count];
  }
  return [milliseconds, counter];
}
