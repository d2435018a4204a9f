/** The generations of a space, to be named and described. */

import { change } from "../../api/records.js";
import { number, years } from "../../lib/words.js";
import { distinctness, percent } from "../../model/confidence.js";
import { GENERATION_FIELDS } from "../../model/registers.js";
import { button, h } from "../parts/dom.js";
import { recordForm } from "../parts/form.js";
import { resolver } from "../parts/references.js";
import { table } from "../parts/table.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Row} Row */

/**
 * Newest first, as in the chart.
 * @param {Visit} visit
 * @param {string} code
 * @param {Row[]} generations
 * @param {boolean} writes
 */
export function generationsTable(visit, code, generations, writes) {
  const heads = ["No.", "Label", "Description", "Years", "Phase", "Layers", "Another campaign than the one below?", ...(writes ? ["Edit"] : [])];
  const place = table("Generations, newest first", heads, [...generations].reverse().map((one) => cells(one, writes)), {
    numeric: [0, 5], empty: "There are none yet: correlate this space.",
  });
  if (writes) place.addEventListener("click", (event) => {
    const pressed = event.target instanceof HTMLButtonElement ? event.target : null;
    const row = generations.find((one) => one.id === pressed?.dataset["generation"]);
    if (pressed && row) openForm(visit, code, row, pressed);
  });
  return place;
}

/** @param {Row} row @param {boolean} writes */
function cells(row, writes) {
  const sure = /** @type {number | null} */ (row["distinctness"]);
  const oldest = row["ordinal"] === 1 && sure === null;
  const phase = row["phase_ordinal"] ? `${row["phase_ordinal"]}${row["phase_label"] ? `: ${row["phase_label"]}` : ""}` : "";
  const told = oldest ? "the oldest" : `${distinctness(sure)}${sure === null ? "" : `, ${percent(sure)}`}`;
  const said = [row["description"], row["technique"]].filter(Boolean).join("; ");
  return [
    String(row["ordinal"]), String(row["label"]), said, yearsWithReasons(row), phase, number(Number(row["layer_count"])), told,
    ...(writes ? [button("Edit", () => {}, { class: "quiet", "data-generation": row.id, "aria-label": `Edit generation ${row["ordinal"]}`, "aria-expanded": "false" })] : []),
  ];
}

/** @param {Row} row */
function yearsWithReasons(row) {
  const bounds = years(/** @type {number | null} */ (row["earliest"]), /** @type {number | null} */ (row["latest"]));
  /** @type {import("../../model/types.js").Setter[]} */
  const steps = [.../** @type {any[]} */ (row["earliest_by"]), .../** @type {any[]} */ (row["latest_by"])];
  const reasons = [...new Set(steps.map((one) => one.sentence).filter(Boolean))];
  if (!bounds) return "not bounded";
  if (reasons.length === 0) return bounds;
  return h("details", null, h("summary", null, bounds), h("ul", null, reasons.map((one) => h("li", null, one))));
}

/** @param {Visit} visit @param {string} code @param {Row} row @param {HTMLButtonElement} pressed */
function openForm(visit, code, row, pressed) {
  const line = pressed.closest("tr");
  if (!line || pressed.getAttribute("aria-expanded") === "true") return;
  pressed.setAttribute("aria-expanded", "true");
  const close = () => {
    opened.remove();
    pressed.setAttribute("aria-expanded", "false");
    pressed.focus();
  };
  const form = recordForm({
    fields: GENERATION_FIELDS, row, words: {}, resolve: resolver(code),
    save: (values, current) => change(code, "generations", /** @type {Row} */ (current), values),
    saved: () => visit.reload(),
    leave: close,
    unsaved: visit.unsaved,
  });
  const opened = h("tr", { class: "opened" }, h("td", { colspan: line.cells.length }, form));
  line.after(opened);
  form.querySelector("input")?.focus();
}
