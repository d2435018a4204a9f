/** The panel of a generation: its words and years, and its joining with a neighbour or splitting. */

import { change } from "../../api/records.js";
import { joinGenerations, splitGeneration } from "../../api/work.js";
import { years } from "../../lib/words.js";
import { splitHindrance } from "../../model/chart/choosing.js";
import { jointWords } from "../../model/chart/why.js";
import { Problem } from "../../model/problems.js";
import { GENERATION_FIELDS } from "../../model/registers.js";
import { button, h } from "../parts/dom.js";
import { recordForm } from "../parts/form.js";
import { historyFold } from "../parts/history.js";
import { resolver } from "../parts/references.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("../../model/types.js").Cell} Cell */
/** @typedef {import("../../model/types.js").Chart} Chart */
/** @typedef {import("../../model/types.js").Generation} Generation */

/**
 * @typedef {object} Panel
 * @property {Visit} visit
 * @property {string} code
 * @property {Generation} generation
 * @property {Row | undefined} row its record as the registers show it
 * @property {Chart} chart
 * @property {readonly Cell[]} chosen
 * @property {boolean} writes
 * @property {() => void} close
 * @property {() => Promise<void>} stored
 */

/** @param {Panel} panel */
export function generationPanel(panel) {
  const { generation, chart, writes, close } = panel;
  const heading = h("h3", { tabindex: -1 }, `Generation ${generation.ordinal}${generation.label ? `: ${generation.label}` : ""}`);
  const many = chart.cells.filter((cell) => cell.generation === generation.ordinal).length;
  const reasons = [...new Set([...generation.earliest_by, ...generation.latest_by].map((one) => one.sentence).filter(Boolean))];
  const facts = /** @type {[string, string][]} */ ([
    ["Layers", String(many)],
    ["Years", years(generation.earliest, generation.latest) || "not bounded"],
    ["Phase", generation.phase ?? "none given"],
    ["Another campaign than the one below?", jointWords(generation)],
    ...(writes ? [] : [["Description", generation.description || "none"], ["Technique", generation.technique || "not recorded"]]),
  ]);
  return { heading, element: h("div", null,
    h("p", { class: "close" }, button("Close", close, { class: "quiet" })), heading,
    h("dl", { class: "told" }, facts.flatMap(([name, value]) => [h("dt", null, name), h("dd", null, value)])),
    reasons.length > 0 && h("details", null, h("summary", null, "What bounds its years"), h("ul", { class: "said" }, reasons.map((one) => h("li", null, one ?? "")))),
    writes && panel.row && words(panel, panel.row),
    writes && joining(panel),
    writes && splitting(panel),
    historyFold({ code: panel.code, signal: panel.visit.signal, id: generation.id, changed: () => panel.stored() })) };
}

/** @param {Panel} panel @param {Row} row */
function words(panel, row) {
  return h("div", null, h("h4", null, "What it is called"), recordForm({
    fields: GENERATION_FIELDS, row, words: {}, resolve: resolver(panel.code),
    save: (values, current) => change(panel.code, "generations", /** @type {Row} */ (current), values),
    saved: () => panel.stored(),
    unsaved: panel.visit.unsaved,
  }));
}

/** @param {Panel} panel */
function joining(panel) {
  const { generation, chart, code } = panel;
  const problem = refusals();
  const neighbours = [-1, 1].flatMap((step) => chart.generations.filter((one) => one.ordinal === generation.ordinal + step));
  if (neighbours.length === 0) return null;
  const choices = neighbours.map((other) => askedButton(`Join with ${other.ordinal}${other.label ? ` (${other.label})` : ""}`,
    `Make generations ${generation.ordinal} and ${other.ordinal} one? All their layers are held in it.`, "Join", (pressed) => busy(pressed, problem, async () => {
      await done(panel, () => joinGenerations(code, generation, other), `Generations ${generation.ordinal} and ${other.ordinal} are one now.`);
    })));
  return h("div", null, h("h4", null, "Join"), h("p", { class: "hint" }, "This one stays, and takes over the other's layers, rulings, evidence and words."), h("p", { class: "buttons" }, choices), problem.place);
}

/** @param {Panel} panel */
function splitting(panel) {
  const { generation, chart, chosen, code } = panel;
  const problem = refusals();
  const hindrance = splitHindrance(chosen, chart, generation.ordinal);
  const some = chosen.length === 1 ? "1 layer" : `${chosen.length} layers`;
  const splitOff = (/** @type {"above" | "below"} */ place) => askedButton(`Split off ${place}`, `Make ${some} a generation of their own, ${place} this one?`, "Split", (pressed) => busy(pressed, problem, async () => {
    await done(panel, () => splitGeneration(code, generation, chosen.map((cell) => cell.layer_id), place), `${some} of generation ${generation.ordinal} are a generation of their own now.`);
  }));
  return h("div", null, h("h4", null, "Split"),
    h("p", { class: "hint" }, hindrance || `${some} selected: ${chosen.map((cell) => cell.layer).join(", ")}.`),
    !hindrance && h("p", { class: "buttons" }, splitOff("above"), splitOff("below")), problem.place);
}

/** @param {Panel} panel @param {() => Promise<unknown>} deed @param {string} told */
async function done(panel, deed, told) {
  try {
    await deed();
  } catch (error) {
    if (!(error instanceof Problem) || error.status !== 412) throw error;
    await panel.stored();
    throw new Problem(412, error.code, "Somebody changed one of these generations meanwhile. They are shown as they are now; look again, then do it once more.");
  }
  announce(told);
  await panel.stored();
}
