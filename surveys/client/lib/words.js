/** Numbers, sizes, years and moments as a person reads them. */

const WHOLE = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 0 });
const PART = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 1 });
const DAY = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "long", year: "numeric" });
const MOMENT = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit" });
const MINUTE = 60;
const HOUR = 60 * MINUTE;
const A_DAY = 24 * HOUR;

/** @param {number} value */
export function number(value) {
  return WHOLE.format(value);
}

/**
 * '1 layer', '1,372 layers'.
 * @param {number} count
 * @param {string} one
 * @param {string} [many]
 */
export function count(count, one, many = `${one}s`) {
  return `${WHOLE.format(count)} ${count === 1 ? one : many}`;
}

/**
 * A size in the unit in which it is easily read; as for files, 1 kB = 1,000 bytes.
 * @param {number} bytes
 */
export function size(bytes) {
  if (bytes < 1000) return `${WHOLE.format(bytes)} bytes`;
  if (bytes < 1_000_000) return `${WHOLE.format(bytes / 1000)} kB`;
  return `${PART.format(bytes / 1_000_000)} MB`;
}

/**
 * A year; before the common era it is counted backwards (there is no year 0, so 0 is told as it is).
 * @param {number} value
 */
export function year(value) {
  return value < 0 ? `${-value} BCE` : String(value);
}

/**
 * Bounds as words.
 * @param {number | null} earliest
 * @param {number | null} latest
 */
export function years(earliest, latest) {
  if (earliest !== null && latest !== null) return earliest === latest ? year(earliest) : `${year(earliest)} to ${year(latest)}`;
  if (earliest !== null) return `not before ${year(earliest)}`;
  if (latest !== null) return `not after ${year(latest)}`;
  return "";
}

/**
 * A moment told from now: 'just now', '5 minutes ago', '14 May 2026'.
 * @param {string} iso
 * @param {number} now milliseconds, as Date.now() says it
 */
export function ago(iso, now) {
  const then = Date.parse(iso);
  if (Number.isNaN(then)) return "";
  const seconds = (now - then) / 1000;
  if (seconds < 45) return "just now";
  if (seconds < 45 * MINUTE) return `${count(Math.max(1, Math.round(seconds / MINUTE)), "minute")} ago`;
  if (seconds < 22 * HOUR) return `${count(Math.max(1, Math.round(seconds / HOUR)), "hour")} ago`;
  if (seconds < 7 * A_DAY) return `${count(Math.max(1, Math.round(seconds / A_DAY)), "day")} ago`;
  return DAY.format(then);
}

/**
 * A moment in full, in the reader's own time zone.
 * @param {string} iso
 */
export function moment(iso) {
  const then = Date.parse(iso);
  return Number.isNaN(then) ? "" : MOMENT.format(then);
}

/** A day as ISO 8601 writes it: '14 May 2026'. @param {string} iso */
export function date(iso) {
  const then = Date.parse(`${iso}T12:00:00`);
  return Number.isNaN(then) ? iso : DAY.format(then);
}

/**
 * 'a, b and c'.
 * @param {string[]} items
 */
export function list(items) {
  if (items.length < 2) return items[0] ?? "";
  return `${items.slice(0, -1).join(", ")} and ${items[items.length - 1]}`;
}

/** @param {string} text */
export function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
