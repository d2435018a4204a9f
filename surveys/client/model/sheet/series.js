/** How a column of values goes on: numbers by their step, dates by days, texts by the number at their end, anything else over again. */

const DAY = 86_400_000;

/**
 * @param {readonly string[]} first
 * @param {number} count
 * @returns {string[]}
 */
export function series(first, count) {
  const next = numbers(first) ?? dates(first) ?? numbered(first) ?? ((index) => first[index % first.length] ?? "");
  return Array.from({ length: Math.max(0, count) }, (_, index) => next(first.length + index));
}

/** @param {readonly string[]} first @returns {((index: number) => string) | null} */
function numbers(first) {
  if (!first.every((text) => /^-?\d+(\.\d+)?$/.test(text))) return null;
  const places = Math.max(...first.map((text) => (text.split(".")[1] ?? "").length));
  const values = first.map(Number);
  const step = stepOf(values, 10 ** -places / 1000);
  // A leading zero is part of a number's name, and is kept.
  const width = places === 0 && first.some((text) => /^0\d/.test(text)) ? (first[0] ?? "").length : 0;
  if (step === null) return null;
  return (index) => ((values[0] ?? 0) + step * index).toFixed(places).padStart(width, "0");
}

/** @param {readonly string[]} first @returns {((index: number) => string) | null} */
function dates(first) {
  if (!first.every((text) => /^\d{4}-\d{2}-\d{2}$/.test(text))) return null;
  const values = first.map((text) => Date.parse(`${text}T00:00:00Z`) / DAY);
  const step = stepOf(values, 0);
  if (step === null || values.some(Number.isNaN)) return null;
  return (index) => new Date(((values[0] ?? 0) + step * index) * DAY).toISOString().slice(0, 10);
}

/** @param {readonly string[]} first @returns {((index: number) => string) | null} */
function numbered(first) {
  const parts = first.map((text) => /^(.*?)(\d+)$/s.exec(text));
  const [stem, width] = [parts[0]?.[1] ?? "", (parts[0]?.[2] ?? "").length];
  if (parts.some((one) => one === null || one[1] !== stem)) return null;
  const values = parts.map((one) => Number(one?.[2]));
  const step = stepOf(values, 0);
  if (step === null || values.some((value) => !Number.isSafeInteger(value))) return null;
  return (index) => `${stem}${String(Math.max(0, (values[0] ?? 0) + step * index)).padStart(width, "0")}`;
}

/** The step that all have in common; 1 where there is but one value. @param {readonly number[]} values @param {number} slack */
function stepOf(values, slack) {
  if (values.length === 1) return 1;
  const step = (values[1] ?? 0) - (values[0] ?? 0);
  const even = values.every((value, index) => index === 0 || Math.abs(value - (values[index - 1] ?? 0) - step) <= slack);
  return even ? step : null;
}
