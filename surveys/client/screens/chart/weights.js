/** What weighed how much in placing a layer, on demand: a sentence, and a table whose lines add up. */

import { why as readWhy } from "../../api/results.js";
import { UNIT, lines, signed, sum } from "../../model/chart/weights.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/types.js").Cell} Cell */
/** @typedef {import("../../model/types.js").Chart} Chart */
/** @typedef {import("../../model/chart/weights.js").Why} Why */

/** @param {string} code @param {Cell} cell @param {Chart} chart @param {AbortSignal} signal */
export function weights(code, cell, chart, signal) {
  if (cell.generation === null) return null;
  const place = h("div", { class: "weighed" });
  const problem = refusals();
  const show = async (/** @type {number | null} */ against) => {
    const why = await readWhy(code, cell.layer_id, against, signal);
    refill(place, told(why, other(why, chart, choose)));
    announce(why.sentence);
  };
  const choose = (/** @type {number} */ against, /** @type {HTMLSelectElement} */ choice) => {
    problem.clear();
    show(against).then(() => place.querySelector("select")?.focus(), (error) => { problem.show(error); choice.focus(); });
  };
  const ask = button("Weigh the evidence", () => busy(ask, problem, async () => {
    await show(null);
    ask.textContent = "Weigh it again";
  }));
  return h("div", null, h("p", { class: "buttons" }, ask), problem.place, place);
}

/** @param {Why} why @param {HTMLElement | null} choice */
function told(why, choice) {
  const rows = lines(why).map((one) => [
    h("span", null, one.name, one.seen.length > 0 && h("span", { class: "seen" }, one.seen.map((part) => h("span", null, part)))),
    bar(one.side, one.share), h("span", { title: one.says }, one.number, h("span", { class: "hidden" }, `, ${one.says}`)),
  ]);
  const total = why.total === null ? [] : [[h("strong", null, "Together"), h("span", { class: "sum" }, sum(why)), h("strong", null, signed(why.total))]];
  return h("div", null, h("p", null, why.sentence), choice,
    rows.length > 0 && h("div", { class: "weights" },
      table(`What weighed for generation ${why.generation} and against ${why.against}`, ["Evidence", `For ${why.against} ◂ ▸ for ${why.generation}`, "Decibans"], [...rows, ...total], { numeric: [2] })),
    rows.length > 0 && h("p", { class: "hint" }, UNIT), h("ul", { class: "said" }, why.notes.map((one) => h("li", null, one))));
}

/** Right of the middle for the generation, left of it for the other; told by side and filling. @param {"for" | "against" | "neither"} side @param {number} share */
function bar(side, share) {
  const length = h("span", { class: `length ${side}` });
  length.style.width = `${Math.max(share * 50, side === "neither" ? 0 : 1)}%`;
  return h("span", { class: "weight", "aria-hidden": "true" }, length);
}

/** The choice of another generation to compare with. @param {Why} why @param {Chart} chart @param {(against: number, choice: HTMLSelectElement) => void} choose */
function other(why, chart, choose) {
  const shown = new Set(chart.cells.map((one) => one.generation));
  const others = chart.generations.filter((one) => one.ordinal !== why.generation && shown.has(one.ordinal)).reverse();
  if (why.against === null || others.length < 2) return null;
  const id = newId("against");
  const choice = h("select", { id, onchange: () => choose(Number(choice.value), choice) },
    others.map((one) => h("option", { value: String(one.ordinal), selected: one.ordinal === why.against }, `${one.ordinal}${one.label ? `: ${one.label}` : ""}`)));
  return h("p", { class: "field" }, h("label", { for: id }, "Compared with generation "), choice);
}
