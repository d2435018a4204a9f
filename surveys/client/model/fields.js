/** The typed fields of a form: from what a person wrote to what is sent, and back. The service judges again. */

/**
 * @typedef {"text" | "long" | "number" | "whole" | "year" | "date" | "word" | "words" | "reference"} FieldType
 *
 * @typedef {object} Field
 * @property {string} name as the record names it
 * @property {string} label
 * @property {FieldType} [type] text, if it is not said
 * @property {boolean} [required]
 * @property {string} [unit] shown in the label
 * @property {string} [hint]
 * @property {string} [words] the closed list of the vocabulary that it takes its words from
 * @property {string} [refers] the collection whose record it names
 * @property {string} [shows] the field of the record that bears the human name of what it refers to
 * @property {string} [human] the field by which that record is named
 * @property {boolean} [fixed] cannot be changed once the record is made
 */

const NUMBER = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/;
const WHOLE = /^[+-]?\d+$/;
const DAY = /^\d{4}-\d{2}-\d{2}$/;

/**
 * What stands in the input for a record's value.
 * @param {Field} field
 * @param {Record<string, unknown>} row
 */
export function shown(field, row) {
  const value = row[field.type === "reference" ? (field.shows ?? field.name) : field.name];
  if (value === null || value === undefined) return "";
  return Array.isArray(value) ? value.join("\n") : String(value);
}

/**
 * The value that a text means; a sentence, if it means none.
 * @param {Field} field
 * @param {string} text
 * @returns {{ value: unknown, fault: string }}
 */
export function read(field, text) {
  const bare = text.trim();
  if (bare === "") return { value: blank(field), fault: field.required ? "This is needed." : "" };
  switch (field.type) {
    case "number":
      if (!NUMBER.test(bare)) return refused("Write a number, as in 12.5.");
      return kept(Number(bare.replace(",", ".")));
    case "whole":
      return WHOLE.test(bare) ? kept(Number(bare)) : refused("Write a whole number.");
    case "year":
      return readYear(bare);
    case "date":
      return DAY.test(bare) ? kept(bare) : refused("Write a date as 2026-05-14.");
    case "words":
      return kept(bare.split("\n").map((word) => word.trim()).filter(Boolean));
    case "reference":
      return kept(bare);
    default:
      return kept(field.type === "long" ? text : bare);
  }
}

/** @param {string} bare */
function readYear(bare) {
  const before = /^(\d{1,4})\s*(?:BCE|BC)$/i.exec(bare);
  if (before) return kept(-Number(before[1]));
  return WHOLE.test(bare) ? kept(Number(bare)) : refused("Write a year as a whole number, as in 1838, or 120 BCE.");
}

/** @param {Field} field */
function blank(field) {
  if (field.type === "words") return [];
  return ["number", "whole", "year", "date", "reference"].includes(field.type ?? "text") ? null : "";
}

/** @param {unknown} value */
function kept(value) {
  return { value, fault: "" };
}

/** @param {string} fault */
function refused(fault) {
  return { value: null, fault };
}

/**
 * The fields whose text differs from what was shown at first: only these are sent.
 * @param {readonly Field[]} fields
 * @param {Record<string, string>} before
 * @param {Record<string, string>} now
 */
export function changed(fields, before, now) {
  return fields.filter((field) => (before[field.name] ?? "") !== (now[field.name] ?? ""));
}

/** @param {Field} field */
export function label(field) {
  return field.unit ? `${field.label} (${field.unit})` : field.label;
}
