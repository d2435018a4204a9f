/** The registers: which columns each shows, and which fields its form has. */

/** @typedef {import("./fields.js").Field} Field */

/**
 * @typedef {object} Register
 * @property {string} name as the interface names the collection
 * @property {string} title
 * @property {string} one what one record of it is called
 * @property {string} purpose one line on what it is for
 * @property {string} key the column that opens the record
 * @property {readonly (readonly [name: string, label: string])[]} columns
 * @property {readonly Field[]} fields
 * @property {boolean} [bySpace] whether it can be narrowed to one space
 * @property {string} [order]
 */

/** @type {Field} */
const NOTES = { name: "notes", label: "Notes", type: "long" };
/** @type {Field} */
const EARLIEST = { name: "earliest", label: "Earliest year", type: "year" };
/** @type {Field} */
const LATEST = { name: "latest", label: "Latest year", type: "year" };

/** @type {readonly Field[]} */
const SPACE = [
  { name: "number", label: "Number", required: true },
  { name: "name", label: "Name" },
  { name: "storey", label: "Storey" },
  { name: "kind", label: "Kind", type: "word", words: "space_kinds" },
  NOTES,
];

/** @type {readonly Field[]} */
const ELEMENT = [
  { name: "code", label: "Code", required: true },
  { name: "space", label: "Space", type: "reference", refers: "spaces", human: "number", shows: "space_number", required: true },
  { name: "element_class", label: "Class", type: "word", words: "project_classes", required: true },
  { name: "position", label: "Position" },
  { name: "substrate", label: "Substrate", hint: "Wood, plaster, iron …" },
  { name: "description", label: "Description", type: "long" },
  NOTES,
];

/** @type {readonly Field[]} */
const SAMPLE = [
  { name: "number", label: "Number", required: true },
  { name: "element", label: "Element", type: "reference", refers: "elements", human: "code", shows: "element_code", required: true },
  { name: "part", label: "Part" },
  { name: "visit", label: "Visit" },
  { name: "location", label: "Location", type: "long" },
  { name: "purpose", label: "Purpose", type: "long" },
  { name: "height_mm", label: "Height", type: "number", unit: "mm" },
  { name: "size_mm", label: "Size", type: "number", unit: "mm" },
  { name: "taken_on", label: "Taken on", type: "date" },
  { name: "taken_by", label: "Taken by" },
  { name: "bag", label: "Bag" },
  { name: "mount", label: "Mount", hint: "Several are separated by ;" },
  { name: "kept_at", label: "Kept at" },
  { name: "status", label: "Status", type: "word", words: "sample_statuses" },
  { name: "base_state", label: "Base state", type: "word", words: "base_states", hint: "Whether the sample starts at the substrate." },
  { name: "top_state", label: "Top state", type: "word", words: "top_states", hint: "Whether the newest paint is there." },
  { name: "examined_visible_on", label: "Examined in visible light on", type: "date" },
  { name: "examined_visible_by", label: "Examined in visible light by" },
  { name: "examined_uv_on", label: "Examined under UV on", type: "date" },
  { name: "examined_uv_by", label: "Examined under UV by" },
  NOTES,
];

/** @type {readonly Field[]} */
const LAYER = [
  { name: "sample", label: "Sample", type: "reference", refers: "samples", human: "number", shows: "sample_number", required: true },
  { name: "position", label: "Position", type: "whole", hint: "1 lies next to the substrate. Left blank, a new layer goes on top." },
  { name: "kind", label: "Kind", type: "word", words: "layer_kinds", required: true },
  { name: "completeness", label: "Completeness", type: "word", words: "completeness" },
  { name: "colour", label: "Colour as found" },
  { name: "munsell", label: "Munsell", hint: "As in 5GY 6/4 or N 9." },
  { name: "munsell_by", label: "Munsell found by", type: "word", words: "munsell_bases" },
  { name: "lab_l", label: "L*", type: "number", hint: "Under D65, 2° observer; give L*, a* and b* together." },
  { name: "lab_a", label: "a*", type: "number" },
  { name: "lab_b", label: "b*", type: "number" },
  { name: "first_colour", label: "Colour as first applied", hint: "What you reason that it was; the colour as found stays beside it." },
  { name: "sheen", label: "Sheen" },
  { name: "texture", label: "Texture" },
  { name: "uv_colour", label: "UV colour" },
  { name: "uv_strength", label: "UV strength", type: "word", words: "uv_strengths" },
  { name: "pigments", label: "Pigments", hint: "Separated by ;" },
  { name: "binder", label: "Binder" },
  { name: "tests", label: "Tests", hint: "Separated by ;" },
  { name: "thickness_um", label: "Thickness", type: "number", unit: "µm" },
  { name: "lower_boundary", label: "Lower boundary", type: "word", words: "lower_boundaries" },
  NOTES,
];

/** @type {readonly Field[]} */
const EVIDENCE = [
  { name: "reference", label: "Reference", required: true },
  { name: "discipline", label: "Discipline", type: "word", words: "disciplines" },
  { name: "kind", label: "Kind", type: "word", words: "evidence_kinds" },
  { name: "source", label: "Source", type: "long" },
  { name: "statement", label: "Statement", type: "long", required: true },
  { name: "bears_on", label: "Bears on", type: "word", words: "bears_on", hint: "Name the record itself in the field of that name below." },
  { name: "phase", label: "Phase", type: "reference", refers: "phases", human: "ordinal", shows: "phase_ordinal" },
  { name: "space", label: "Space", type: "reference", refers: "spaces", human: "number", shows: "space_number" },
  { name: "element", label: "Element", type: "reference", refers: "elements", human: "code", shows: "element_code" },
  { name: "generation", label: "Generation", type: "reference", refers: "generations", human: "name", shows: "generation_name", hint: "As in 101/3." },
  { name: "relation", label: "Relation", type: "word", words: "relations" },
  EARLIEST,
  LATEST,
  { name: "years_as_written", label: "Years as written", hint: "As in c.1840." },
  { name: "certainty", label: "Certainty", type: "word", words: "certainties", hint: "Tentative evidence bounds nothing." },
  NOTES,
];

/** @type {readonly Field[]} */
const PHASE = [
  { name: "ordinal", label: "Number", type: "whole", hint: "1 is the oldest. Left blank, a new phase is the latest." },
  { name: "label", label: "Label" },
  EARLIEST,
  LATEST,
  { name: "description", label: "Description", type: "long" },
];

/** @type {readonly Register[]} */
export const REGISTERS = [
  {
    name: "spaces", title: "Spaces", one: "space", key: "number", fields: SPACE,
    purpose: "Rooms, passages, stairs and exterior elevations: the units in which paint generations are numbered.",
    columns: [["number", "Number"], ["name", "Name"], ["storey", "Storey"], ["kind", "Kind"], ["element_count", "Elements"],
      ["sample_count", "Samples"], ["layer_count", "Layers"]],
  },
  {
    name: "elements", title: "Elements", one: "element", key: "code", fields: ELEMENT, bySpace: true,
    purpose: "Building parts that were each painted as one thing.",
    columns: [["code", "Code"], ["space_number", "Space"], ["element_class", "Class"], ["position", "Position"],
      ["substrate", "Substrate"], ["description", "Description"]],
  },
  {
    name: "samples", title: "Samples", one: "sample", key: "number", fields: SAMPLE, bySpace: true,
    purpose: "Chips of paint: where each was lifted, whether it is whole, and how far it has been examined.",
    columns: [["number", "Number"], ["element_code", "Element"], ["space_number", "Space"], ["status", "Status"],
      ["base_state", "Base state"], ["top_state", "Top state"], ["layer_count", "Layers"], ["taken_on", "Taken on"]],
  },
  {
    name: "layers", title: "Layers", one: "layer", key: "name", fields: LAYER, bySpace: true,
    purpose: "What was seen in each cross-section, film by film, 1 next to the substrate; and the generation that each was placed in.",
    columns: [["name", "Layer"], ["kind", "Kind"], ["colour", "Colour as found"], ["munsell", "Munsell"], ["uv_colour", "UV colour"],
      ["completeness", "Completeness"], ["lower_boundary", "Lower boundary"], ["generation_ordinal", "Generation"],
      ["confidence", "Confidence"]],
  },
  {
    name: "evidence", title: "Evidence", one: "piece of evidence", key: "reference", fields: EVIDENCE,
    purpose: "What other disciplines bring: what it says, what it bears on, and the years that it bounds.",
    columns: [["reference", "Reference"], ["discipline", "Discipline"], ["kind", "Kind"], ["statement", "Statement"],
      ["bears_on", "Bears on"], ["relation", "Relation"], ["earliest", "Earliest"], ["latest", "Latest"], ["certainty", "Certainty"]],
  },
  {
    name: "phases", title: "Phases", one: "phase", key: "ordinal", fields: PHASE,
    purpose: "Periods of the whole building that the team has agreed; generations of many spaces belong to one.",
    columns: [["ordinal", "Number"], ["label", "Label"], ["earliest", "Earliest"], ["latest", "Latest"],
      ["generation_count", "Generations"], ["description", "Description"]],
  },
];

/** @param {string} name */
export function register(name) {
  return REGISTERS.find((one) => one.name === name) ?? null;
}

/** @type {readonly Field[]} */
export const GENERATION_FIELDS = [
  { name: "label", label: "Label" },
  { name: "description", label: "Description", type: "long" },
  { name: "technique", label: "Technique" },
  { name: "phase", label: "Phase", type: "reference", refers: "phases", human: "ordinal", shows: "phase_ordinal", hint: "The number of the phase." },
];

/** @type {readonly Field[]} */
export const PROJECT_FIELDS = [
  { name: "code", label: "Code", required: true, fixed: true, hint: "Short; letters, digits, - and _, as in HALL-1. Links and exports bear it, so it stays." },
  { name: "name", label: "Name", required: true },
  { name: "place", label: "Place" },
  { name: "summary", label: "Summary", type: "long" },
  { name: "first_year", label: "First year", type: "year", hint: "Nothing here can be older." },
  { name: "last_year", label: "Last year", type: "year", hint: "Nothing here can be newer." },
  { name: "notes", label: "Notes", type: "long" },
  { name: "element_classes", label: "Element classes", type: "words", hint: "One on each line. Classes in use must stay." },
];
