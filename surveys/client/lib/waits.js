/** How long to wait before asking again. */

export const SHORTEST = 1000;
export const LONGEST = 15_000;

/**
 * The next wait in milliseconds: short while something moves, longer and longer while nothing does.
 * @param {number} last
 * @param {boolean} moving
 */
export function next(last, moving) {
  if (moving) return SHORTEST;
  return Math.min(LONGEST, Math.max(SHORTEST, Math.round(last * 1.5)));
}

/**
 * The wait before another try at what failed, counted from 0.
 * @param {number} failures
 */
export function afterFailure(failures) {
  return Math.min(LONGEST, SHORTEST * 2 ** Math.max(0, failures));
}
