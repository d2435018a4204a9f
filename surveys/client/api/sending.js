/** How a large file reaches the service, part by part, and what the browser remembers of it over a reload. */

import { fresh } from "../model/pictures/sending.js";
import { post, putBytes, read, remove, wait } from "./http.js";
import { address } from "./records.js";

/** @typedef {import("../model/pictures/sending.js").Kept} Kept */
/** @typedef {import("../model/pictures/sending.js").Ways} Ways */

/** @param {string} code @param {string} username @param {File} file @param {AbortSignal} signal @returns {Ways} */
export function waysOf(code, username, file, signal) {
  return {
    digest: () => digest(file),
    begin: (values) => post(address(code, "sendings"), values, signal),
    ask: (id) => read(address(code, "sendings", id), signal),
    part: (id, start, end) => putBytes(address(code, "sendings", id, "parts", String(start)), file.slice(start, end), signal),
    finish: (id) => post(address(code, "sendings", id, "finish"), undefined, signal),
    end: (id) => remove(address(code, "sendings", id)),
    sleep: (milliseconds) => wait(milliseconds, signal),
    memory: memory(`undercoat sendings|${username}|${code}`),
  };
}

/** Browsers tell it only where the address is secure, or on one's own machine; else the service alone does. @param {File} file */
async function digest(file) {
  if (!globalThis.crypto?.subtle) return "";
  const found = await crypto.subtle.digest("SHA-256", await file.arrayBuffer());
  return [...new Uint8Array(found)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {string} name */
function memory(name) {
  /** @returns {Record<string, Kept>} */
  const kept = () => {
    try {
      return fresh(JSON.parse(localStorage.getItem(name) ?? "{}"), Date.now());
    } catch {
      return {};
    }
  };
  /** @param {Record<string, Kept>} all */
  const keep = (all) => {
    try {
      localStorage.setItem(name, JSON.stringify(all));
    } catch {
      // A full store: the file can be sent all the same, only not gone on with after a reload.
    }
  };
  return {
    get: (/** @type {string} */ key) => kept()[key]?.id ?? "",
    put: (/** @type {string} */ key, /** @type {string} */ id) => keep({ ...kept(), [key]: { id, at: Date.now() } }),
    drop: (/** @type {string} */ key) => {
      const { [key]: _, ...others } = kept();
      keep(others);
    },
  };
}
