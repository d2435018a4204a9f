/** The history in words. */

import { list } from "../lib/words.js";

/** @typedef {import("./types.js").Change} Change */

/** @type {Record<string, string>} */
const COLLECTIONS = {
  space: "spaces",
  element: "elements",
  sample: "samples",
  layer: "layers",
  evidence: "evidence",
  phase: "phases",
};
const MOST_FIELDS = 3;

/**
 * What was done, without who and when: 'changed layer WH003/7: colour from "cream" to "stone"'.
 * @param {Pick<Change, "action" | "record_type" | "record_name" | "fields">} change
 */
export function deed(change) {
  // Some records are called by what they are: 'interpretation 3', 'comment by …'.
  const twice = change.record_name.startsWith(`${change.record_type} `);
  const what = `${verb(change.action)} ${twice ? "" : `${change.record_type} `}${change.record_name}`;
  if (change.action !== "changed") return what;
  const names = Object.keys(change.fields);
  if (names.length === 0) return what;
  if (names.length > MOST_FIELDS) return `${what}: ${names.length} fields`;
  return `${what}: ${list(names.map((name) => fieldChange(name, change.fields[name])))}`;
}

/** @param {Change["action"]} action */
function verb(action) {
  return action === "restored" ? "brought back" : action;
}

/**
 * @param {string} name
 * @param {[unknown, unknown] | undefined} values
 */
function fieldChange(name, values) {
  const said = name.replaceAll("_", " ");
  if (!values) return said;
  const [before, after] = values.map(told);
  if (before === null || after === null || before === undefined || after === undefined) return said;
  return `${said} from ${before} to ${after}`;
}

/**
 * A value as the history tells it; null where it would not be read (ids, lists, long texts).
 * @param {unknown} value
 * @returns {string | null}
 */
function told(value) {
  if (value === null || value === "") return "blank";
  if (typeof value === "number" || typeof value === "boolean") return String(value);
  if (typeof value !== "string" || value.length > 40 || /^[0-9a-f]{8}-[0-9a-f-]{27}$/.test(value)) return null;
  return `“${value}”`;
}

/**
 * Acts, newest first: lines that were written together become one entry.
 * @param {Change[]} changes oldest first
 * @returns {{ act: string, at: string, actor: string, reason: string, lines: Change[] }[]}
 */
export function acts(changes) {
  /** @type {Map<string, { act: string, at: string, actor: string, reason: string, lines: Change[] }>} */
  const found = new Map();
  for (const line of changes) {
    const act = found.get(line.act);
    if (act) act.lines.push(line);
    else found.set(line.act, { act: line.act, at: line.at, actor: line.actor, reason: line.reason, lines: [line] });
  }
  return [...found.values()].reverse();
}

/**
 * Several lines of one act in one sentence: 'created 12 layers and 2 samples'.
 * @param {Change[]} lines
 */
export function summary(lines) {
  if (lines.length === 1 && lines[0]) return deed(lines[0]);
  /** @type {Map<string, number>} */
  const counts = new Map();
  for (const line of lines) {
    const key = `${verb(line.action)} ${line.record_type}`;
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  return list([...counts].map(([key, many]) => plural(key, many)));
}

/**
 * @param {string} key
 * @param {number} many
 */
function plural(key, many) {
  const [type = "", ...words] = key.split(" ").reverse();
  const noun = many === 1 || type === "evidence" ? type : type.endsWith("s") ? type : `${type}s`;
  return `${words.reverse().join(" ")} ${many} ${noun}`;
}

/**
 * Which register a record stands in, or '' if it stands in none.
 * @param {string} type
 */
export function register(type) {
  return COLLECTIONS[type] ?? "";
}
