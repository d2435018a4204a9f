/** Requests to the interface. What the browser cannot reach is tried again; what is refused is a Problem. */

import { Lost, Problem, problemFrom } from "../model/problems.js";
import { afterFailure } from "../lib/waits.js";

export const ROOT = "/api/v1";
const TRIES_OF_A_WRITE = 3;

/**
 * @typedef {object} Asked
 * @property {unknown} [body] sent as JSON
 * @property {number} [version] the version of the record that is changed
 * @property {AbortSignal} [signal]
 */

/**
 * @typedef {object} Hooks
 * @property {(lost: boolean) => void} connection told when the connection goes and when it is back
 * @property {(seconds: number) => void} waits told when too much was asked for, and for how long nothing more is read
 * @property {() => void} signedOut told when the session has ended
 */

/** @type {Hooks} */
const hooks = { connection: () => {}, waits: () => {}, signedOut: () => {} };

/** @param {Partial<Hooks>} told */
export function listen(told) {
  Object.assign(hooks, told);
}

/**
 * Read; while the connection is lost, again and again until the reader goes elsewhere. What was asked for too often is asked for again after
 * the time that the program says.
 * @param {string} url
 * @param {AbortSignal} [signal]
 * @returns {Promise<any>}
 */
export async function read(url, signal) {
  for (let failures = 0; ; ) {
    try {
      return await once("GET", url, { ...(signal ? { signal } : {}) });
    } catch (error) {
      if (error instanceof Problem && error.status === 429 && error.seconds > 0) {
        hooks.waits(error.seconds);
        await wait(1000 * error.seconds, signal);
      } else if (error instanceof Lost) {
        await wait(afterFailure(failures), signal);
        failures += 1;
      } else throw error;
    }
  }
}

/**
 * Whether a file would be handed out, by its first byte: what is refused is a Problem, and no page of its own in place of this one. What was asked
 * for too often is asked for again after the time that the program says.
 * @param {string} url
 * @param {AbortSignal} [signal]
 */
export async function offered(url, signal) {
  for (;;) {
    const response = await reached(url, { headers: { Range: "bytes=0-0" }, credentials: "same-origin", ...(signal ? { signal } : {}) });
    // Of an empty file there is no first byte.
    if (response.ok || response.status === 416) return void response.body?.cancel();
    const problem = refusal(response.status, await response.json().catch(() => null), response.headers.get("Retry-After"));
    if (problem.status !== 429 || problem.seconds === 0) throw problem;
    hooks.waits(problem.seconds);
    await wait(1000 * problem.seconds, signal);
  }
}

/**
 * Make something or ask for something. It bears a key, so that it can be tried again without being done twice.
 * @param {string} url
 * @param {unknown} body
 * @param {AbortSignal} [signal]
 * @param {string} [key] of one that was tried before
 * @returns {Promise<any>}
 */
export async function post(url, body, signal, key = newKey()) {
  for (let failures = 1; ; failures += 1) {
    try {
      return await once("POST", url, { body, ...(signal ? { signal } : {}) }, { "Idempotency-Key": key });
    } catch (error) {
      if (!(error instanceof Lost) || failures >= TRIES_OF_A_WRITE) throw error;
      await wait(afterFailure(failures - 1), signal);
    }
  }
}

/**
 * Change a record that was read at that version; or what has none.
 * @param {string} url
 * @param {number | null} version
 * @param {unknown} body
 * @returns {Promise<any>}
 */
export function patch(url, version, body) {
  return once("PATCH", url, version === null ? { body } : { version, body });
}

/**
 * Do something with a record that was read at that version. It bears a key, so that it can be tried again without being done twice.
 * @param {string} url
 * @param {number} version
 * @param {unknown} body
 * @returns {Promise<any>}
 */
export function postOn(url, version, body) {
  return once("POST", url, { version, body }, { "Idempotency-Key": newKey() });
}

/**
 * Remove a record, if it is still at that version; or end what has none.
 * @param {string} url
 * @param {number} [version]
 * @returns {Promise<any>}
 */
export function remove(url, version) {
  return once("DELETE", url, version === undefined ? {} : { version });
}

/**
 * Send bytes as they are.
 * @param {string} url
 * @param {Blob} bytes
 * @param {AbortSignal} signal
 * @returns {Promise<any>}
 */
export async function putBytes(url, bytes, signal) {
  const headers = { Accept: "application/json", "Content-Type": "application/octet-stream", "X-CSRFToken": csrfToken() };
  return answered(await reached(url, { method: "PUT", headers, credentials: "same-origin", body: bytes, signal }), signal);
}

/**
 * @param {string} method
 * @param {string} url
 * @param {Asked} asked
 * @param {Record<string, string>} [more]
 */
async function once(method, url, asked, more = {}) {
  /** @type {Record<string, string>} */
  const headers = { Accept: "application/json", ...more };
  if (method !== "GET") headers["X-CSRFToken"] = csrfToken();
  if (asked.body !== undefined) headers["Content-Type"] = "application/json";
  if (asked.version !== undefined) headers["If-Match"] = `"${asked.version}"`;
  /** @type {RequestInit} */
  const options = { method, headers, credentials: "same-origin" };
  if (asked.body !== undefined) options.body = JSON.stringify(asked.body);
  if (asked.signal) options.signal = asked.signal;
  return answered(await reached(url, options), asked.signal);
}

/**
 * @param {string} url
 * @param {RequestInit} options
 */
async function reached(url, options) {
  try {
    const response = await fetch(url, options);
    hooks.connection(false);
    return response;
  } catch (error) {
    if (options.signal?.aborted) throw error;
    hooks.connection(true);
    throw new Lost();
  }
}

/**
 * What an answer says. One that breaks off on its way is as good as none, unless it was the reader who went elsewhere.
 * @param {Response} response
 * @param {AbortSignal} [signal]
 */
async function answered(response, signal) {
  if (response.status === 204) return null;
  if (!response.ok) throw refusal(response.status, await response.json().catch(() => null), response.headers.get("Retry-After"));
  try {
    return await response.json();
  } catch (error) {
    if (signal?.aborted) throw error;
    throw lost();
  }
}

/**
 * A refusal as a Problem; an ended session is told to whoever listens.
 * @param {number} status
 * @param {any} body
 * @param {string | null} [retryAfter]
 * @returns {Problem}
 */
function refusal(status, body, retryAfter = null) {
  const problem = problemFrom(status, body, retryAfter);
  if (status === 401 && problem.code === "not-signed-in") hooks.signedOut();
  return problem;
}

/** The connection was lost. */
function lost() {
  hooks.connection(true);
  return new Lost();
}

/** What shows that a change comes from a page of this program. */
function csrfToken() {
  // Over HTTPS its name says that it comes from this very host.
  const found = /(?:^|;\s*)(?:__Host-)?csrftoken=([^;]*)/.exec(document.cookie);
  return found?.[1] ?? "";
}

/** A key of 128 random bits. (randomUUID is missing where the address is not secure, as on a team's own network.) */
export function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * @param {number} milliseconds
 * @param {AbortSignal} [signal]
 * @returns {Promise<void>}
 */
export function wait(milliseconds, signal) {
  return new Promise((resolve, reject) => {
    const stop = () => {
      clearTimeout(timer);
      reject(signal?.reason ?? new DOMException("Stopped", "AbortError"));
    };
    const timer = setTimeout(() => {
      signal?.removeEventListener("abort", stop);
      resolve();
    }, milliseconds);
    if (signal?.aborted) stop();
    else signal?.addEventListener("abort", stop, { once: true });
  });
}

/** @param {unknown} error */
export function isStop(error) {
  return error instanceof DOMException && error.name === "AbortError";
}
