/** Following a job that the service asked for by itself when something was changed. */

import { wait } from "../../api/http.js";
import { jobs } from "../../api/work.js";
import { follow } from "../parts/watching.js";

/** @typedef {import("../../model/types.js").Job} Job */

const TRIES = 8;
const PAUSE = 400;

/**
 * The job of that kind whose parameters fit, once it has ended; null if none was asked for.
 * @param {AbortSignal} signal @param {string} code @param {string} kind @param {(job: Job) => boolean} fits @param {(job: Job) => void} told
 * @returns {Promise<Job | null>}
 */
export async function followAsked(signal, code, kind, fits, told) {
  for (let tries = 0; tries < TRIES; tries += 1) {
    const found = (await jobs(code, { kind, page_size: 20 }, signal)).results.find(fits);
    if (found) return follow(signal, code, found, told);
    await wait(PAUSE, signal);
  }
  return null;
}
