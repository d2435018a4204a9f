/** Where one is signed in, in words; and the second factor, as the interface tells of it. */

import { ago } from "../lib/words.js";

/**
 * @typedef {{ id: string, current: boolean, began_at: string | null, last_used_at: string | null, browser: string, network: string }} Session
 *
 * @typedef {{ on: boolean, since: string | null, recovery_codes: number, required: boolean }} SecondFactor
 *
 * @typedef {{ key: string, address: string, picture: string }} SecondFactorKey
 */

const HOUR = 3_600_000;

/** @param {Session} session */
export function where(session) {
  const browser = session.browser || "A browser";
  return session.current ? `${browser} (this one)` : browser;
}

/**
 * When it was last used, which is known to the hour.
 * @param {Session} session
 * @param {number} now milliseconds, as Date.now() says it
 */
export function lastUsed(session, now) {
  if (session.current) return "now";
  if (!session.last_used_at) return "not known";
  return now - Date.parse(session.last_used_at) < HOUR ? "within the last hour" : ago(session.last_used_at, now);
}
