/** The columns of each register as a grid shows them: what may be written, then what follows from other records. */

import { GENERATION_FIELDS, REGISTERS } from "../registers.js";

/** @typedef {import("../fields.js").Field} Field */
/** @typedef {"text" | "long" | "number" | "whole" | "year" | "date" | "word" | "munsell" | "list" | "reference" | "share"} ColumnType */

/**
 * @typedef {object} Column
 * @property {string} name as the record names it
 * @property {string} label
 * @property {ColumnType} type
 * @property {boolean} editable
 * @property {boolean} [required]
 * @property {boolean} [fixed] can be given to a new record only
 * @property {string} [unit]
 * @property {string} [hint]
 * @property {string} [words] its closed list in the vocabulary
 * @property {string} [refers] the collection whose record it names
 * @property {string} [shows] the field that bears the name of what it refers to
 * @property {string} [human] the field by which that record is named
 * @property {string} [one] what one such record is called
 * @property {string} [within] the field that completes a name given by number alone
 * @property {number} width
 *
 * @typedef {object} SheetKind
 * @property {string} name the collection
 * @property {string} title
 * @property {string} one
 * @property {string} type as the history calls such a record
 * @property {string} purpose
 * @property {string} key the column by which a row is named
 * @property {readonly Column[]} columns
 * @property {readonly (readonly [field: string, label: string])[]} groups what rows can be grouped by
 * @property {readonly (readonly string[])[]} together fields that are judged as one
 * @property {boolean} makes whether rows can be added here
 * @property {boolean} bears whether other records hang on its records
 */

const LISTS = new Set(["pigments", "tests", "mount"]);
// Short texts that are phrases: at the usual width none could be read whole.
const PHRASES = new Set(["name", "position"]);
const ONES = { spaces: "space", elements: "element", samples: "sample", layers: "layer", generations: "generation", phases: "phase" };
const WIDTHS = { text: 130, long: 220, number: 90, whole: 90, year: 110, date: 135, word: 130, munsell: 165, list: 160, reference: 110, share: 100 };

/** @param {Field} field @returns {Column} */
function column(field) {
  const type = field.name === "munsell" ? "munsell" : LISTS.has(field.name) ? "list" : (field.type ?? "text");
  /** @type {Column} */
  const made = { name: field.name, label: field.label, type: /** @type {ColumnType} */ (type), editable: true, width: type === "text" && PHRASES.has(field.name) ? 200 : WIDTHS[/** @type {ColumnType} */ (type)] };
  for (const part of /** @type {const} */ (["required", "unit", "hint", "words", "refers", "shows", "human"])) {
    if (field[part] !== undefined) Object.assign(made, { [part]: field[part] });
  }
  if (field.refers) made.one = ONES[/** @type {keyof typeof ONES} */ (field.refers)] ?? "record";
  return made;
}

/** What follows from other records. @param {string} name @param {string} label @param {ColumnType} [type] @returns {Column} */
function derived(name, label, type = "text") {
  return { name, label, type, editable: false, width: type === "text" ? 110 : WIDTHS[type] };
}

/** @param {string} name @param {string} label @param {string} refers @param {string} human @param {Partial<Column>} [more] @returns {Column} */
function reference(name, label, refers, human, more = {}) {
  const one = ONES[/** @type {keyof typeof ONES} */ (refers)];
  return { name, label, type: "reference", editable: true, width: WIDTHS.reference, refers, human, one, ...more };
}

/** @param {string} name */
function fields(name) {
  const found = REGISTERS.find((one) => one.name === name);
  if (!found) throw new Error(`No register ${name}`);
  return found.fields.map(column);
}

const SPACE = /** @type {const} */ (["space_number", "Space"]);
const PLACE = reference("generation", "Generation", "generations", "name", { shows: "generation_ordinal", within: "space_number", hint: "As in 101/3, or 3 for the third of this space. What you set here is held." });

/** @param {string} name @param {Partial<SheetKind> & { columns: readonly Column[], type: string }} more @returns {SheetKind} */
function kind(name, more) {
  const found = REGISTERS.find((one) => one.name === name);
  return {
    name, title: found?.title ?? "", one: found?.one ?? "", purpose: found?.purpose ?? "", key: found?.key ?? "", groups: [], together: [], makes: true,
    bears: false, ...more,
  };
}

/** @param {readonly Column[]} columns @param {...string} names */
function fixed(columns, ...names) {
  return columns.map((one) => (names.includes(one.name) ? { ...one, fixed: true } : one));
}

/** @type {readonly SheetKind[]} */
export const SHEETS = [
  kind("spaces", {
    type: "space", bears: true, groups: [["storey", "Storey"], ["kind", "Kind"]],
    columns: [...fields("spaces"), derived("element_count", "Elements", "whole"), derived("sample_count", "Samples", "whole"),
      derived("layer_count", "Layers", "whole"), derived("generation_count", "Generations", "whole")],
  }),
  kind("elements", { type: "element", bears: true, columns: fields("elements"), groups: [["space", "Space"], ["element_class", "Class"]] }),
  kind("samples", {
    type: "sample", bears: true, groups: [SPACE, ["element", "Element"], ["status", "Status"]],
    columns: [...fields("samples"), derived("space_number", "Space"), derived("element_class", "Class"), derived("layer_count", "Layers", "whole")],
  }),
  kind("layers", {
    type: "layer", groups: [SPACE, ["element_code", "Element"], ["sample", "Sample"]], together: [["lab_l", "lab_a", "lab_b"], ["munsell", "munsell_by"]],
    columns: [derived("name", "Layer"), ...fixed(fields("layers"), "sample"), PLACE, derived("placed_by", "Placed by"), derived("confidence", "Confidence", "share"),
      derived("runner_up_ordinal", "Runner-up", "whole"), derived("runner_up_confidence", "Its confidence", "share"), derived("element_code", "Element"),
      derived("element_class", "Class"), derived("space_number", "Space")],
  }),
  kind("rulings", {
    title: "Rulings", one: "ruling", type: "ruling", key: "kind", groups: [SPACE, ["kind", "Kind"]], together: [["kind", "first_layer", "second_layer", "generation"]],
    purpose: "What people have ruled: layers tied, barred from one campaign, or held in a generation. Rulings bind every later computation.",
    columns: [
      { name: "kind", label: "Kind", type: "word", editable: true, required: true, words: "ruling_kinds", width: 90 },
      reference("first_layer", "Layer", "layers", "name", { shows: "first_layer_name", required: true }),
      reference("second_layer", "Other layer", "layers", "name", { shows: "second_layer_name", hint: "Of a tie or a bar." }),
      reference("generation", "Generation", "generations", "name", { shows: "generation_ordinal", within: "space_number", hint: "Of a hold." }),
      { name: "reason", label: "Reason", type: "long", editable: true, width: 320 },
      derived("space_number", "Space"), derived("created_by", "Ruled by"),
    ],
  }),
  kind("generations", {
    title: "Generations", one: "generation", type: "generation", key: "name", groups: [["space", "Space"], ["phase", "Phase"]],
    purpose: "The campaigns of painting that were found in each space, 1 the oldest, with the years that the record allows them.",
    columns: [
      derived("name", "Generation"),
      reference("space", "Space", "spaces", "number", { shows: "space_number", required: true, fixed: true }),
      { name: "ordinal", label: "Number", type: "whole", editable: true, width: 90, hint: "1 is the oldest. A new number moves the others aside." },
      ...GENERATION_FIELDS.map(column), derived("earliest", "Earliest", "year"), derived("latest", "Latest", "year"), derived("layer_count", "Layers", "whole"),
    ],
  }),
  kind("phases", { type: "phase", bears: true, together: [["earliest", "latest"]], columns: [...fields("phases"), derived("generation_count", "Generations", "whole")] }),
  kind("evidence", {
    type: "evidence", columns: fields("evidence"), groups: [["kind", "Kind"], ["discipline", "Discipline"], ["space", "Space"]],
    together: [["earliest", "latest", "relation"], ["bears_on", "phase", "space", "element", "generation"]],
  }),
];

/** @param {string} name */
export function sheetKind(name) {
  return SHEETS.find((one) => one.name === name) ?? null;
}

/** A column is at least as wide as its head, with the mark of its order and the button of its panel. @param {Column} one */
export function width(one) {
  return Math.max(one.width, Math.round(head(one).length * 10.2) + 46);
}

/** What stands at the head of a column, with its unit. @param {Column} one */
export function head(one) {
  return one.unit ? `${one.label} (${one.unit})` : one.label;
}

/** Whether a cell of the column can be written, in a record that is there already or in a new one. @param {Column} one @param {boolean} isNew */
export function writable(one, isNew) {
  return one.editable && (isNew || !one.fixed);
}
