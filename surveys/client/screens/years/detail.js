/** One generation's years with their reasons; all of them as a table. */

import { path } from "../../lib/paths.js";
import { year, years } from "../../lib/words.js";
import { inShort } from "../../model/standing.js";
import * as model from "../../model/years.js";
import { h, link } from "../parts/dom.js";
import { recordLink } from "../standing/missing.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/years.js").Dated} Dated */
/** @typedef {import("../../model/years.js").View} View */
/** @typedef {import("../../model/years.js").Step} Step */

/** @param {string} code @param {Dated | undefined} one @param {View} view @param {string} label @param {readonly import("../../model/types.js").DateConflict[]} conflicts */
export function detail(code, one, view, label, conflicts) {
  if (!one) return h("p", { class: "hint" }, "Choose a generation on the axis to read what its years rest on.");
  const curve = model.curveOf(one, view.prior);
  return h("div", { class: "box" },
    h("p", null, h("strong", null, `Generation ${one.ordinal} of space ${one.space}${label ? `, ${label}` : ""}: `), model.boundsInWords(one), curve && ` (${model.curveInWords(curve)})`, ". ",
      link(path("projects", code, "spaces", one.space), `Chart of space ${one.space}`)),
    h("div", { class: "reasons" }, reasons(code, "Not earlier, because", one.earliest_by), reasons(code, "Not later, because", one.latest_by)),
    conflicts.length > 0 && h("p", null, "▲ In conflict: ", conflicts.map(inShort).join(" "), " The whole of it stands below."));
}

/** @param {string} code @param {string} title @param {Step[]} steps */
function reasons(code, title, steps) {
  if (steps.length === 0) return null;
  return h("div", null, h("p", null, title, ":"), h("ul", null, steps.map((step) => h("li", null, step.sentence,
    step.kind === "evidence" || step.kind === "phase" || step.kind === "material" ? [" (", recordLink(code, step), ")"] : null))));
}

/** @param {string} code @param {readonly Dated[]} generations @param {View} view @param {Map<string, string>} labels */
export function wordsTable(code, generations, view, labels) {
  const rows = generations.map((one) => {
    const curve = model.curveOf(one, view.prior);
    const key = model.keyOf(one);
    return [
      link(path("projects", code, "spaces", one.space), key), labels.get(key) ?? "", model.boundsInWords(one), curve ? year(curve.median) : "–",
      curve ? model.between(curve.interval_68) : "–", curve ? model.between(curve.interval_95) : "–", sources(code, one), one.conflicts.length > 0 ? "▲ in conflict" : "",
    ];
  });
  return table("Years of the generations, newest first in each space", ["Generation", "Label", "Bounds", "Median", "68 %", "95 %", "By", "Conflict"], rows);
}

/** The records that set the bounds. @param {string} code @param {Dated} one */
function sources(code, one) {
  const steps = [one.earliest_by, one.latest_by].flatMap((some) => some.slice(0, 1)).filter((step) => ["evidence", "phase", "material"].includes(step.kind));
  const once = steps.filter((step, index) => steps.findIndex((other) => other.key === step.key) === index);
  return h("span", null, once.flatMap((step, index) => [index > 0 ? ", " : null, recordLink(code, step)]));
}

/** @param {string} code @param {readonly { ordinal: number, label: string, earliest: number | null, latest: number | null, id: string }[]} phases @param {readonly import("../../model/years.js").Mark[]} marks */
export function recordsTable(code, phases, marks) {
  const rows = [
    ...phases.map((one) => [link(path("projects", code, "registers", "phases", one.id), `phase ${one.ordinal}`), `${one.label}: ${years(one.earliest, one.latest) || "no years"}`]),
    ...marks.map((one) => [link(path("projects", code, "registers", "evidence", one.id), one.reference), `${model.markInWords(one).slice(one.reference.length + 2)}${one.space ? ` (space ${one.space})` : ""}`]),
  ];
  return table("Phases and evidence on the axis", ["Record", "Says"], rows, { empty: "There is no phase with years, and no evidence that names one." });
}
