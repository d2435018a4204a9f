/** What is new for who is signed in. */

import { ROOT, post, read } from "./http.js";
import { address } from "./records.js";

/** @typedef {import("../model/news.js").News} News */
/** @typedef {import("../model/news.js").Counts} Counts */

/** How much, by project. @param {AbortSignal} signal @returns {Promise<Counts[]>} */
export async function myNews(signal) {
  return (await read(`${ROOT}/me/news`, signal)).results;
}

/** @param {string} code @param {AbortSignal} signal @returns {Promise<News>} */
export function news(code, signal) {
  return read(address(code, "news"), signal);
}

/** Say up to which change one has seen everything. @param {string} code @param {number} sequence */
export function seen(code, sequence) {
  return post(address(code, "news", "seen"), { sequence });
}
