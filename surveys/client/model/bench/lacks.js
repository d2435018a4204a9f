/** What a sample still lacks, and how far a space is examined. */

import { count, list } from "../../lib/words.js";

/** @typedef {import("./stack.js").Stack} Stack */
/** @typedef {import("./stack.js").Layer} Layer */
/** @typedef {{ of: "sample" | "layer", id: string, name: string, says: string }} Place where one goes to mend it */
/** @typedef {{ text: string, places: Place[] }} Lack */

/** Of what was not seen nothing can be told. */
const UNSEEN = new Set(["not reached", "lost in cutting"]);
const COLOURS = ["colour", "munsell", "lab_l"];

/**
 * @param {string} sample its id
 * @param {Record<string, string>} texts what stands in the sample's fields
 * @param {Stack} stack
 * @returns {Lack[]}
 */
export function lacks(sample, texts, stack) {
  /** @type {Lack[]} */
  const found = [];
  const lack = (/** @type {string} */ text, /** @type {string} */ name) => found.push({ text, places: [{ of: "sample", id: sample, name, says: "" }] });
  if (!known(texts["base_state"])) lack(unsaid("base state", texts["base_state"]), "base_state");
  if (!known(texts["top_state"])) lack(unsaid("top state", texts["top_state"]), "top_state");
  if (!texts["examined_visible_on"]) lack("Not examined in visible light", "examined_visible_on");
  if (!texts["examined_uv_on"]) lack("Not examined under UV", "examined_uv_on");
  if (stack.length === 0) found.push({ text: "No layers yet", places: [] });
  const seen = stack.filter((one) => !UNSEEN.has(one.texts["completeness"] ?? ""));
  const places = (/** @type {Layer[]} */ layers, /** @type {string} */ name) => layers.map((one) => (
    /** @type {Place} */ ({ of: "layer", id: one.id, name, says: String(stack.indexOf(one) + 1) })));
  const each = (/** @type {string} */ text, /** @type {string} */ name, /** @type {Layer[]} */ layers) => {
    if (layers.length > 0) found.push({ text, places: places(layers, name) });
  };
  each("No kind", "kind", stack.filter((one) => !one.texts["kind"]));
  each("No colour", "colour", seen.filter((one) => one.texts["kind"] !== "void" && COLOURS.every((name) => !one.texts[name])));
  each("No lower boundary", "lower_boundary", seen.filter((one) => one !== stack[0] && !one.texts["lower_boundary"]));
  if (texts["examined_uv_on"]) each("No UV strength", "uv_strength", seen.filter((one) => one.texts["kind"] !== "void" && !one.texts["uv_strength"]));
  return found;
}

/** @param {string | undefined} text */
function known(text) {
  return Boolean(text) && text !== "unknown";
}

/** @param {string} what @param {string | undefined} text */
function unsaid(what, text) {
  return text === "unknown" ? `The ${what} is unknown` : `No ${what}`;
}

/** What is lacking, in one line for who hears it. @param {Lack[]} found */
export function lacksTold(found) {
  if (found.length === 0) return "Nothing is lacking.";
  return `Lacking: ${list(found.map((one) => one.text.toLowerCase() + (one.places[0]?.says ? ` in ${count(one.places.length, "layer")}` : "")))}.`;
}

/**
 * How many of a space's samples were examined; those set aside do not count.
 * @param {readonly Record<string, unknown>[]} samples
 */
export function progress(samples) {
  const counted = samples.filter((one) => one["status"] !== "set aside");
  return { examined: counted.filter((one) => Boolean(one["examined_visible_on"]) || one["status"] === "examined").length, whole: counted.length };
}

const NATURAL = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

/** Samples in the order of their numbers, as one counts. @template {{ number: string }} T @param {readonly T[]} samples @returns {T[]} */
export function inOrder(samples) {
  return [...samples].sort((one, other) => NATURAL.compare(one.number, other.number) || (one.number < other.number ? -1 : 1));
}

/** The sample so many steps on, or none. @template {{ id: string }} T @param {readonly T[]} samples @param {string} id @param {1 | -1} by @returns {T | null} */
export function neighbour(samples, id, by) {
  const at = samples.findIndex((one) => one.id === id);
  return at < 0 ? null : (samples[at + by] ?? null);
}

/** A day as a record bears it, in the reader's own time. @param {Date} date */
export function day(date) {
  return [date.getFullYear(), date.getMonth() + 1, date.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}
