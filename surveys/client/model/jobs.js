/** Jobs in words. */

import { capital, count } from "../lib/words.js";

/** @typedef {import("./types.js").Job} Job */

/** @type {Record<string, string>} */
const TITLES = {
  "check-import": "Check of a file",
  import: "Import",
  correlate: "Correlation",
  preview: "Preview of rulings",
  date: "Derivation of years",
  chart: "Generation chart",
  registers: "Export of the registers",
  schedule: "Draft of a schedule",
  "issue-schedule": "Issue of a schedule",
  chapter: "Paint chapter",
  answers: "Answer sheets",
  labels: "Labels",
  "sampling-plan": "Sampling plan",
  archive: "Archive of the project",
  "import-archive": "Bringing of an archive",
  picture: "A picture looked into",
  "picture-colour": "Colours by a target",
  "register-pictures": "Registration of two pictures",
  "read-line": "Reading of a line",
  plate: "Plate of a section",
};

/** A state in words, and a mark that tells it by shape. */
/** @type {Record<import("./types.js").JobState, { word: string, mark: string }>} */
const STATES = {
  queued: { word: "waiting", mark: "○" },
  running: { word: "under way", mark: "◐" },
  done: { word: "done", mark: "●" },
  failed: { word: "failed", mark: "✕" },
  cancelled: { word: "stopped", mark: "▢" },
};

/** @param {Pick<Job, "kind" | "params">} job */
export function title(job) {
  const name = TITLES[job.kind] ?? capital(job.kind);
  const of = job.params["space"] ? ` of space ${job.params["space"]}` : job.kind === "correlate" ? " of all spaces" : "";
  const form = job.params["format"] ? ` as ${job.params["format"].toUpperCase()}` : "";
  const paper = job.params["paper"] && job.params["format"] === "pdf" ? `, ${job.params["paper"]}` : "";
  return `${name}${of}${form}${paper}`;
}

/** @param {Pick<Job, "state" | "cancel_asked">} job */
export function state(job) {
  const told = STATES[job.state];
  return job.state === "running" && job.cancel_asked ? { word: "stopping", mark: told.mark } : told;
}

/** @param {Pick<Job, "state">} job */
export function isOpen(job) {
  return job.state === "queued" || job.state === "running";
}

/**
 * What a job is doing, or what came of it.
 * @param {Job} job
 */
export function now(job) {
  if (job.state === "queued") return "Waiting for a worker.";
  if (job.state === "running") return job.cancel_asked ? "Stopping at the next step." : share(job);
  if (job.state === "failed" || job.state === "cancelled") return job.error;
  return outcome(job);
}

/** @param {Job} job */
function share(job) {
  const { done, total, now } = job.progress;
  const said = now || "Under way";
  return total > 0 ? `${said}: ${Math.floor((100 * done) / total)} %.` : `${said}.`;
}

/**
 * The result of a job that is done, in words.
 * @param {Pick<Job, "kind" | "result" | "files">} job
 * @returns {string}
 */
export function outcome(job) {
  const result = job.result ?? {};
  if (job.kind === "correlate") return correlated(result);
  if (job.kind === "date") return dated(result);
  if (job.kind === "preview") return result.refused ?? `${count((result.changes ?? []).length, "layer")} would move.`;
  if (job.kind === "check-import") return checked(result);
  if (job.kind === "import") return "The file was imported.";
  if (job.kind === "labels") return labelled(result);
  if (job.kind === "sampling-plan") return `${count(result.wanted ?? 0, "sample")} wanted in ${count(result.spaces ?? 0, "space")}.`;
  if (job.kind === "import-archive") return brought(result);
  if (typeof result.sentence === "string" && result.sentence) return result.sentence;
  return job.files.length ? `${count(job.files.length, "file")} ready.` : "Done.";
}

/** @param {any} result */
function labelled(result) {
  const without = (result.without_code ?? []).length;
  return `${count(result.labels ?? 0, "label")} on ${count(result.pages ?? 0, "page")}.${without ? ` On ${without} the code would be too small to be read, so there is none.` : ""}`;
}

/** @param {any} result */
function brought(result) {
  const records = Object.values(result.records ?? {}).reduce((/** @type {number} */ total, one) => total + Number(one), 0);
  /** @type {string[]} */
  const strangers = result.strangers ?? [];
  const told = `${count(Number(records), "record")}, ${count(result.changes ?? 0, "change")} and ${count(result.files ?? 0, "file")} of ${result.code} were brought.`;
  return strangers.length ? `${told} Not known here by name, and so standing in it without signing in: ${strangers.join(", ")}.` : told;
}

/** @param {any} result */
function correlated(result) {
  /** @type {any[]} */
  const spaces = result.spaces ?? [];
  const refused = spaces.filter((one) => one.refused);
  const sum = (/** @type {string} */ name) => spaces.reduce((total, one) => total + (one[name] ?? 0), 0);
  const told = [
    `${count(sum("layers"), "layer")} placed in ${count(sum("generations"), "generation")} of ${count(spaces.length - refused.length, "space")}`,
    `${count(sum("layers_changed"), "placement")} changed`,
  ];
  if (sum("unsure")) told.push(`${count(sum("unsure"), "layer")} unsure (confidence below one half)`);
  return [`${told.join("; ")}.`, ...refused.map((one) => `Space ${one.space}: ${one.refused}`), dated(result, true)].filter(Boolean).join(" ");
}

/**
 * @param {any} result
 * @param {boolean} [onlyConflicts]
 */
function dated(result, onlyConflicts = false) {
  const conflicts = (result.conflicts ?? []).length;
  const told = onlyConflicts ? "" : `The years of ${count(result.generations_changed ?? 0, "generation")} changed. `;
  return `${told}${conflicts ? `${count(conflicts, "conflict")} of date.` : onlyConflicts ? "" : "No conflict of date."}`.trim();
}

/** @param {any} result */
function checked(result) {
  const faults = result.fault_count ?? (result.faults ?? []).length;
  return faults ? `${count(faults, "fault")} found.` : "No fault found.";
}
