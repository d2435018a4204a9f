/** Finish schedules, what people add to their rows, and issues. */

import { all, address } from "./records.js";
import { post, read } from "./http.js";

/** @typedef {import("../model/schedules.js").Schedule} Schedule */
/** @typedef {import("../model/schedules.js").Draft} Draft */
/** @typedef {import("../model/schedules.js").Issue} Issue */
/** @typedef {import("../model/schedules.js").WholeIssue} WholeIssue */
/** @typedef {import("../model/schedules.js").ChangedRow} ChangedRow */

/** @param {string} code @param {AbortSignal} [signal] @returns {Promise<Schedule[]>} */
export function schedules(code, signal) {
  return all(code, "schedules", { ordering: "number" }, signal);
}

/** A schedule as it follows from the record now. @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<Draft>} */
export function draft(code, id, signal) {
  return read(address(code, "schedules", id, "draft"), signal);
}

/** @param {string} code @param {AbortSignal} [signal] @returns {Promise<Issue[]>} newest first */
export function issues(code, signal) {
  return all(code, "issues", {}, signal);
}

/** @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<WholeIssue>} */
export function issue(code, id, signal) {
  return read(address(code, "issues", id), signal);
}

/** What has changed since, of the record that an issue rests on. @param {string} code @param {string} id @param {AbortSignal} [signal] @returns {Promise<ChangedRow[]>} */
export async function changedSince(code, id, signal) {
  return (await read(address(code, "issues", id, "since"), signal)).rows;
}

/**
 * Ask for the files of a draft, or for an issue.
 * @param {string} code @param {"schedule" | "issue-schedule"} kind @param {Record<string, string>} params
 * @returns {Promise<import("../model/types.js").Job>}
 */
export function ask(code, kind, params) {
  return post(address(code, "jobs"), { kind, params });
}
