/** Finish schedules, what people add to their rows, and issues. */

import { all, address } from "./records.js";
import { post, postOn, read } from "./http.js";

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

/** @param {string} code @param {string} issue @param {AbortSignal} [signal] @returns {Promise<import("../model/schedules.js").Remark[]>} */
export async function remarks(code, issue, signal) {
  return (await read(`${address(code, "issues", issue, "comments")}/`, signal)).results;
}

/** @param {string} code @param {string} issue @param {string} text @param {string} [thread] */
export function remark(code, issue, text, thread) {
  return post(`${address(code, "issues", issue, "comments")}/`, thread ? { text, thread } : { text });
}

/** @param {string} code @param {{ id: string, version: number }} schedule @param {string} to @param {string} reason */
export function move(code, schedule, to, reason) {
  return postOn(address(code, "schedules", schedule.id, "transitions"), schedule.version, { to, reason });
}
