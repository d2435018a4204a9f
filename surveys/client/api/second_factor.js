/** One's second factor: set up, turned off, recovery codes. */

import { ROOT, post, read } from "./http.js";

/** @typedef {import("../model/sessions.js").SecondFactor} SecondFactor */
/** @typedef {import("../model/sessions.js").SecondFactorKey} SecondFactorKey */

const HERE = `${ROOT}/me/second-factor`;

/** @param {AbortSignal} signal @returns {Promise<SecondFactor>} */
export function secondFactor(signal) {
  return read(HERE, signal);
}

/** @param {string} password @returns {Promise<SecondFactorKey>} */
export function makeKey(password) {
  return post(HERE, { password });
}

/** @param {string} code @returns {Promise<{ recovery_codes: string[] }>} */
export function turnOn(code) {
  return post(`${HERE}/confirm`, { code });
}

/** @param {string} password @param {string} code @returns {Promise<null>} */
export function turnOff(password, code) {
  return post(`${HERE}/off`, { password, code });
}

/** @param {string} password @param {string} code @returns {Promise<{ recovery_codes: string[] }>} */
export function newCodes(password, code) {
  return post(`${HERE}/recovery-codes`, { password, code });
}
