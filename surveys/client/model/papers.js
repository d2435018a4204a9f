/** What can be asked for on paper, and how what is written in a form becomes a job's parameters. */

/** @typedef {import("./types.js").Role} Role */

/** Sheets of labels by their measures; the service knows the same names. */
export const SHEETS = [
  "A4, 3 × 7 of 63.5 × 38.1 mm",
  "A4, 3 × 8 of 64 × 34 mm",
  "A4, 4 × 12 of 45.7 × 21.2 mm",
  "A4, 5 × 13 of 38.1 × 21.2 mm",
  "A4, 7 × 27 of 25.4 × 10 mm",
  "letter, 3 × 10 of 66.7 × 25.4 mm",
  "letter, 4 × 20 of 44.5 × 12.7 mm",
];
export const OWN = "measures of my own";
export const PAPERS = ["A4", "letter"];
export const LABELLED = ["bag", "vial", "mount"];

/** A sheet's measures: name as the service has it, label, what a first form holds. */
export const MEASURES = /** @type {const} */ ([
  ["page_width", "Page width, mm", "210"],
  ["page_height", "Page height, mm", "297"],
  ["label_width", "Label width, mm", "63.5"],
  ["label_height", "Label height, mm", "38.1"],
  ["columns", "Labels side by side", "3"],
  ["rows", "Labels one below the other", "7"],
  ["left", "Margin on the left, mm", "7.25"],
  ["top", "Margin at the top, mm", "15.15"],
  ["gap_x", "Gap between columns, mm", "2.5"],
  ["gap_y", "Gap between rows, mm", "0"],
]);

/** @typedef {Record<string, string>} Written what stands in the fields of a form, by name; a tick is "yes" */
/** @typedef {{ params: Record<string, unknown>, faults: Record<string, string> }} Read */

/** A number as people write it, or null. @param {string | undefined} text */
export function numberOf(text) {
  const plain = (text ?? "").trim().replace(",", ".");
  return /^\d+(\.\d+)?$/.test(plain) ? Number(plain) : null;
}

/**
 * The parameters of labels, or what is wrong with which field.
 * @param {Written} written
 * @param {string} origin where the program is reached, for the codes
 * @returns {Read}
 */
export function labels(written, origin) {
  /** @type {Record<string, string>} */
  const faults = {};
  /** @type {Record<string, unknown>} */
  const params = { for: written["for"], sheet: written["sheet"], link: origin, first: whole(written, "first", faults) };
  if (written["sheet"] === OWN) params["sheet"] = measures(written, faults);
  if (written["space"]) params["space"] = written["space"];
  if (written["samples"]?.trim()) params["samples"] = names(written["samples"]);
  if (written["cut_marks"]) params["cut_marks"] = true;
  return { params, faults };
}

/** @param {Written} written @param {Record<string, string>} faults */
function measures(written, faults) {
  return Object.fromEntries(MEASURES.map(([name]) => {
    const value = numberOf(written[name]);
    const counts = name === "columns" || name === "rows";
    if (value === null || (counts && !Number.isInteger(value))) faults[name] = counts ? "Write a whole number, as in 3." : "Write a number of mm, as in 63.5.";
    return [name, value];
  }));
}

/** @param {Written} written @param {string} name @param {Record<string, string>} faults */
function whole(written, name, faults) {
  const value = numberOf(written[name]);
  if (value === null || !Number.isInteger(value)) faults[name] = "Write a whole number.";
  return value;
}

/** Numbers of samples, as they come from a cell, a list or a sentence. @param {string} text */
export function names(text) {
  return [...new Set(text.split(/[\n\t,;]+/).map((one) => one.trim()).filter(Boolean))];
}

/** @param {Written} written @returns {Read} */
export function plan(written) {
  /** @type {Record<string, string>} */
  const faults = {};
  /** @type {Record<string, unknown>} */
  const params = { paper: written["paper"], blank: whole(written, "blank", faults) };
  if (written["space"]) params["space"] = written["space"];
  return { params, faults };
}

/** @param {Written} written @returns {Read} */
export function chapter(written) {
  return { params: { paper: written["paper"] }, faults: {} };
}

/** @param {Written} written @returns {Read} */
export function archive(written) {
  return { params: written["outputs"] ? { outputs: true } : {}, faults: {} };
}

/** The registers need nothing said. @returns {Read} */
export function registers() {
  return { params: {}, faults: {} };
}

/** Papers of charts, and formats with what each is for; only PDF has pages. */
export const CHART_PAPERS = ["A3", "A4", "tabloid"];
export const CHART_FORMATS = /** @type {const} */ ([["pdf", "PDF, in pages"], ["png", "PNG, one picture"], ["svg", "SVG, one drawing"], ["json", "JSON, for programs"]]);

/** @param {Written} written @returns {Read} */
export function chart(written) {
  /** @type {Record<string, string>} */
  const faults = written["space"] ? {} : { space: "Choose a space." };
  const params = { space: written["space"], format: written["format"], ...(written["format"] === "pdf" ? { paper: written["paper"] } : {}) };
  return { params, faults };
}

/** The answer sheets: of a year, or of the end of a phase by its number. @param {Written} written @returns {Read} */
export function answers(written) {
  /** @type {Record<string, string>} */
  const faults = {};
  /** @type {Record<string, unknown>} */
  const params = { page: written["page"] };
  const [year, phase] = [(written["year"] ?? "").trim(), (written["phase"] ?? "").trim()];
  if (year && phase) faults["phase"] = "Name a year or a phase, not both.";
  else if (phase) params["phase"] = whole(written, "phase", faults);
  else if (/^[+-]?\d{1,4}$/.test(year)) params["year"] = Number(year);
  else faults["year"] = year ? "Write a year as a whole number, as in 1838." : "Name a year, or a phase.";
  return { params, faults };
}
