/** Invitations and leaving, in words. */

import { count, list } from "../lib/words.js";

/**
 * @typedef {import("./types.js").Role} Role
 *
 * @typedef {{
 *   id: string, version: number, created_at: string, created_by: string, name: string, email: string, role: Role, discipline: string,
 *   expires_at: string, accepted_at: string | null, accepted_by: string | null, revoked_at: string | null,
 *   state: "open" | "accepted" | "withdrawn" | "expired"
 * }} Invitation
 *
 * @typedef {{ project: string, name: string, email: string, role: Role, discipline: string, invited_by: string, expires_at: string }} Offer
 *
 * @typedef {{
 *   name: string, last_coordinator: boolean, invitations: number, questions: { id: string, number: number, text: string }[],
 *   reviews: { id: string, interpretation: string, number: number }[]
 * }} Leaving
 *
 * @typedef {{ name: string, label: string, type: string, autocomplete: string, hint?: string, value?: string, optional?: boolean }} Entry
 */

/** @type {Readonly<Record<Invitation["state"], { mark: string, word: string }>>} */
export const STATES = {
  open: { mark: "○", word: "open" },
  accepted: { mark: "●", word: "accepted" },
  withdrawn: { mark: "✕", word: "withdrawn" },
  expired: { mark: "◌", word: "expired" },
};

export const PASSWORD_HINT = "At least 12 characters, not only digits, and nothing like your name. Three or four words do well.";

/**
 * What a membership's end leaves open, as one sentence; '' if nothing.
 * @param {Leaving} leaving
 */
export function leftBehind(leaving) {
  const parts = [];
  if (leaving.questions.length) parts.push(count(leaving.questions.length, "open question"));
  if (leaving.reviews.length) parts.push(leaving.reviews.length === 1 ? "the review of 1 interpretation" : `the review of ${leaving.reviews.length} interpretations`);
  const asked = parts.length ? `Asked of ${leaving.name}: ${list(parts)}.` : "";
  const ending = leaving.invitations ? `${count(leaving.invitations, "open invitation")} by ${leaving.name} ${leaving.invitations === 1 ? "ends" : "end"} too.` : "";
  return [asked, ending].filter(Boolean).join(" ");
}

/**
 * What is missing in what was entered, by field, before anything is sent.
 * @param {readonly Entry[]} entries
 * @param {Record<string, string>} texts
 * @returns {Record<string, string>}
 */
export function wanting(entries, texts) {
  const missing = entries.filter((one) => !one.optional && !(texts[one.name] ?? "").trim());
  return Object.fromEntries(missing.map((one) => [one.name, "This is needed."]));
}
