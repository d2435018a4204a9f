/** Which rows and columns are worth drawing: those in sight and a few around them. */

/**
 * Where each of several sizes begins, and where the last ends.
 * @param {readonly number[]} sizes
 */
export function offsets(sizes) {
  const found = [0];
  for (const size of sizes) found.push((found[found.length - 1] ?? 0) + size);
  return found;
}

/**
 * The first and the one after the last that touch [from, to), with some more on either side. Cost: logarithmic.
 * @param {readonly number[]} starts as `offsets` gives them
 * @param {number} from
 * @param {number} to
 * @param {number} more
 * @returns {[number, number]}
 */
export function inSight(starts, from, to, more) {
  const many = starts.length - 1;
  if (many <= 0) return [0, 0];
  const first = Math.min(many - 1, Math.max(0, after(starts, from) - 1));
  const last = Math.min(many, Math.max(first + 1, reaching(starts, to)));
  return [Math.max(0, first - more), Math.min(many, last + more)];
}

/** The first index whose start lies after a point. @param {readonly number[]} starts @param {number} point */
function after(starts, point) {
  let [low, high] = [0, starts.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((starts[middle] ?? 0) <= point) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The first index whose start is not before a point. @param {readonly number[]} starts @param {number} point */
function reaching(starts, point) {
  let [low, high] = [0, starts.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((starts[middle] ?? 0) < point) low = middle + 1;
    else high = middle;
  }
  return low;
}

/**
 * A range as a list, with one more that must be there although it is out of sight (it has the focus).
 * @param {readonly [number, number]} range
 * @param {number} kept
 */
export function withKept([first, last], kept) {
  const found = [];
  for (let index = first; index < last; index += 1) found.push(index);
  if (kept >= 0 && (kept < first || kept >= last)) found.push(kept);
  return found;
}

/**
 * How far to scroll so that [start, end) is in sight, with `before` covered by what stays in place.
 * @param {number} scroll
 * @param {number} size
 * @param {number} before
 * @param {number} start
 * @param {number} end
 */
export function revealed(scroll, size, before, start, end) {
  if (start < scroll) return start;
  if (end + before > scroll + size) return Math.min(start, end + before - size);
  return scroll;
}
