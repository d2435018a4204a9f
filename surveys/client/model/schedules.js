/** Finish schedules in words: what a row says, what stands on it, and which fields a person may set. */

import { count, list } from "../lib/words.js";

/**
 * @typedef {{
 *   id: string, version: number, number: number, title: string, year: number | null, phase: string | null, phase_ordinal: number | null,
 *   notes: string, state: string, state_reason: string, issue_count: number
 * }} Schedule
 *
 * @typedef {{
 *   group: string, quantity: string, preparation: string, hold_point: string, remarks: string, finish: string, munsell: string, sheen: string,
 *   reason: string, by: string
 * }} Additions
 *
 * @typedef {{
 *   space: string, space_name: string, element: string, element_id: string, element_class: string, position: string, substrate: string,
 *   state: "found" | "no evidence", generation: number | null, generation_id: string | null, finish: string, leaf: string, munsell: string,
 *   munsell_is_nearest: boolean, lab: number[] | null, srgb: string, in_gamut: boolean, spread: number | null, readings: number,
 *   colour_word: string, sheen: string, gloss: string, samples: string[], layers: string[], probability: number | null, certainty: string,
 *   alternatives: string[], review: string, marks: string[], doubts: string[], additions: Additions, computed_finish: string,
 *   computed_munsell: string, computed_sheen: string, row_id: string | null, row_version: number, interpretations: number[], sentence: string
 * }} FinishRow
 *
 * @typedef {{ space: string, element: string, what: string, before: string, after: string }} Difference
 *
 * @typedef {{
 *   schedule: number, title: string, project: { code: string, name: string, place: string }, as_of: string, notes: string, state: string,
 *   rows: FinishRow[], marks: Record<string, string>, interpretations: { number: number, state: string, statement: string, by: string }[],
 *   cautions: string[]
 * }} Content
 *
 * @typedef {Content & { changes: Difference[], next_revision: string }} Draft
 *
 * @typedef {{
 *   id: string, version: number, created_by: string, created_at: string, schedule: string, schedule_number: number, schedule_title: string,
 *   revision: string, issued_on: string, purpose: string, note: string, files: import("./types.js").OutputFile[]
 * }} Issue
 *
 * @typedef {{ issue: Issue, content: Content, changes: Difference[] }} WholeIssue
 *
 * @typedef {{ id: string, thread: string | null, text: string, created_by: string, created_at: string, resolved: boolean }} Remark
 *
 * @typedef {{ element: string, changes: { record_type: string, record: string, action: string, fields: string[], by: string, at: string }[] }} ChangedRow
 */

/** @type {readonly import("./fields.js").Field[]} */
export const SCHEDULE_FIELDS = [
  { name: "title", label: "Title", required: true },
  { name: "year", label: "As of the year", type: "year", hint: "Or name a phase instead." },
  { name: "phase", label: "As of the end of phase", type: "reference", refers: "phases", human: "ordinal", shows: "phase_ordinal", hint: "The number of the phase." },
  { name: "notes", label: "Notes", type: "long" },
];

/** What one adds for the contractor, and what one sets in place of the evidence. @type {readonly import("./fields.js").Field[]} */
export const ROW_FIELDS = [
  { name: "group", label: "Group", hint: "Rows of one group stand together within their space." },
  { name: "quantity", label: "Quantity", hint: "With its unit, as in 12 m²." },
  { name: "preparation", label: "Preparation", type: "long" },
  { name: "hold_point", label: "Hold point", hint: "As in: mock-up before proceeding." },
  { name: "remarks", label: "Remarks", type: "long" },
  { name: "finish", label: "Finish instead", hint: "Stands in place of what the evidence says; so do the next two." },
  { name: "munsell", label: "Munsell instead", hint: "As in 10YR 8/2." },
  { name: "sheen", label: "Sheen instead", hint: "Words that stand for a range of gloss: flat, eggshell, satin, semi-gloss, gloss." },
  { name: "override_reason", label: "Reason for what stands instead", type: "long" },
];

export const PURPOSES = /** @type {const} */ (["for comment", "for pricing", "for work"]);

/** A row's additions as the record has them, for a form. @param {FinishRow} row */
export function additionsOf(row) {
  const { reason, by: _, ...rest } = row.additions;
  return { ...rest, override_reason: reason, id: row.row_id ?? "", version: row.row_version };
}

/** @param {{ year: number | null, phase_ordinal: number | null }} one */
export function asOf(one) {
  if (one.phase_ordinal !== null) return `the end of phase ${one.phase_ordinal}`;
  return one.year === null ? "" : one.year < 0 ? `${-one.year} BCE` : String(one.year);
}

/** The finish of a row in one line. @param {FinishRow} row */
export function finishOf(row) {
  return [row.finish || (row.state === "no evidence" ? "no evidence" : "finish not seen"), row.leaf].filter(Boolean).join(", ");
}

/** The numbers of a row's colour, with their units. @param {FinishRow} row */
export function colourNumbers(row) {
  if (!row.lab) return "";
  const [l = 0, a = 0, b = 0] = row.lab;
  const spread = row.spread !== null && row.readings > 1 ? `; spread ${row.spread.toFixed(1)} ΔE00 over ${count(row.readings, "reading")}` : "";
  return `L* ${l.toFixed(1)}, a* ${a.toFixed(1)}, b* ${b.toFixed(1)} (D65, 2°)${spread}${row.in_gamut ? "" : "; no screen can show it"}`;
}

/** How surely, and on what. @param {FinishRow} row */
export function groundOf(row) {
  if (row.state === "no evidence") return row.sentence;
  const chance = row.probability === null ? "" : ` (${Math.round(row.probability * 100)} %)`;
  const samples = row.samples.length ? `${count(row.samples.length, "sample")}: ${list(row.samples)}` : "no sample";
  return `Generation ${row.generation}, ${row.certainty}${chance}; ${samples}.`;
}

/** What a person set in place of what, or ''. @param {FinishRow} row */
export function decisionOf(row) {
  const told = /** @type {const} */ ([["computed_finish", "finish"], ["computed_munsell", "colour"], ["computed_sheen", "sheen"]])
    .filter(([name]) => row[name]).map(([name, word]) => `${word} (the evidence says: ${row[name]})`);
  return told.length ? `By decision of ${row.additions.by}: ${list(told)}. ${row.additions.reason}` : "";
}

/** Rows space by space, in their order. @param {readonly FinishRow[]} rows @returns {{ space: string, name: string, rows: FinishRow[] }[]} */
export function bySpace(rows) {
  /** @type {Map<string, { space: string, name: string, rows: FinishRow[] }>} */
  const found = new Map();
  for (const row of rows) {
    const here = found.get(row.space) ?? { space: row.space, name: row.space_name, rows: [] };
    here.rows.push(row);
    found.set(row.space, here);
  }
  return [...found.values()];
}

/**
 * The rows that one asked to see.
 * @param {readonly FinishRow[]} rows
 * @param {{ space?: string | null, mark?: string | null }} wanted
 */
export function narrowed(rows, wanted) {
  return rows.filter((row) => (!wanted.space || row.space === wanted.space) && (!wanted.mark || row.marks.includes(wanted.mark)));
}

/** How many rows bear each mark, in the order in which marks are explained. @param {Content} content */
export function marksCounted(content) {
  return Object.keys(content.marks).map((mark) => ({ mark, count: content.rows.filter((row) => row.marks.includes(mark)).length, means: content.marks[mark] ?? "" }));
}

/** One change of one row in words. @param {Difference} one */
export function differenceInWords(one) {
  if (one.what === "new row") return `new row: ${one.after}`;
  if (one.what === "row taken out") return `row taken out (was ${one.before})`;
  return `${one.what}: ${one.before || "nothing"} → ${one.after || "nothing"}`;
}

/** @param {Pick<Issue, "schedule_number" | "revision" | "purpose" | "issued_on">} issue */
export function issueName(issue) {
  return `Schedule ${issue.schedule_number}, revision ${issue.revision}, ${issue.issued_on}, ${issue.purpose}`;
}
