/** What spaces share: generations that may be one campaign, offered for a phase. Nothing follows until somebody puts them in one. */

import { newKey } from "../../api/http.js";
import { campaigns as readCampaigns } from "../../api/results.js";
import { sendBatch } from "../../api/sheets.js";
import { path } from "../../lib/paths.js";
import { list } from "../../lib/words.js";
import { likelyPhase, offerWords, operations, outside, pairWords, putWords } from "../../model/campaigns.js";
import { Problem } from "../../model/problems.js";
import { button, h, link, newId, refill } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/campaigns.js").Campaign} Campaign */
/** @typedef {{ id: string, ordinal: number, label: string, earliest: number | null, latest: number | null }} Phase */

const SHOWN = 8;

/**
 * @param {Visit} visit @param {string} code @param {readonly string[]} spaces @param {boolean} writes @param {readonly Phase[]} phases
 * @param {(key: string) => void} show put a generation in sight
 */
export function campaignsSection(visit, code, spaces, writes, phases, show) {
  const place = h("div");
  const problem = refusals();
  const [heading, which] = [newId("across"), newId("which")];
  const choice = h("select", { id: which }, h("option", { value: "" }, "all spaces"), spaces.map((one) => h("option", { value: one }, one)));
  const ask = button("Look for what they share", () => busy(ask, problem, async () => {
    refill(place, h("p", { class: "hint" }, "Comparing the generations of the spaces …"));
    try {
      const found = await readCampaigns(code, choice.value, visit.signal);
      const items = found.campaigns.map((one) => offer(visit, code, one, phases, writes, show));
      refill(place, h("p", null, found.sentence), items.length > 0 && h("ol", { class: "missing acrossoffers" }, items.slice(0, SHOWN)),
        items.length > SHOWN && h("details", null, h("summary", null, `${items.length - SHOWN} more`), h("ol", { class: "missing acrossoffers", start: SHOWN + 1 }, items.slice(SHOWN))));
      announce(found.sentence);
    } catch (error) {
      refill(place);
      throw error;
    }
  }));
  return h("section", { "aria-labelledby": heading }, h("h2", { id: heading }, "Across spaces"),
    h("p", { class: "hint" }, "Generations of different spaces that look like one campaign, by rare colours, UV, materials, order and years. They are offered for a phase; what is not one campaign is left as it is."),
    h("p", { class: "buttons" }, h("label", { for: which }, "Compare "), choice, " ", ask), problem.place, place);
}

/** @param {Visit} visit @param {string} code @param {Campaign} one @param {readonly Phase[]} phases @param {boolean} writes @param {(key: string) => void} show */
function offer(visit, code, one, phases, writes, show) {
  const first = one.generations[0];
  return h("li", null, offerWords(one), " ", first && button("On the axis", () => show(first.name), { class: "quiet", "aria-label": `On the axis: ${first.name}` }),
    h("details", null, h("summary", null, "What they share"), h("ul", { class: "said" }, one.pairs.map((pair) => h("li", null, pairWords(pair))))),
    writes && putting(visit, code, one, phases));
}

/** @param {Visit} visit @param {string} code @param {Campaign} one @param {readonly Phase[]} phases */
function putting(visit, code, one, phases) {
  if (phases.length === 0) return h("p", null, "There is no phase yet to put them in: ", link(path("projects", code, "registers", "phases"), "make one"), ".");
  const problem = refusals();
  const id = newId("phase");
  const place = h("div");
  const likely = likelyPhase(one, phases);
  const choice = h("select", { id, onchange: () => { put.textContent = putWords(one, choice.value); } },
    h("option", { value: "", selected: likely === "" }, "choose …"),
    phases.map((phase) => h("option", { value: phase.id, selected: phase.id === likely }, `phase ${phase.ordinal}${phase.label ? `: ${phase.label}` : ""}`)));
  const put = button(putWords(one, choice.value), () => busy(put, problem, async () => {
    if (!choice.value) {
      choice.focus();
      throw new Problem(422, "required", "Choose the phase first. What they are is for you to say: the years of several phases would do, or of none.");
    }
    const names = outside(one, choice.value).map((each) => each.name);
    await stored(code, one, choice.value);
    const said = `${list(names)} ${names.length === 1 ? "is" : "are"} in ${choice.selectedOptions[0]?.textContent ?? "the phase"} now.`;
    const again = button("Show the years anew", visit.reload);
    refill(place, h("p", { class: "box" }, said, " ", again));
    again.focus();
    announce(said);
  }));
  refill(place, h("p", { class: "buttons" }, h("label", { for: id }, "Phase "), choice, " ", put), problem.place);
  return place;
}

/** @param {string} code @param {Campaign} one @param {string} phase */
async function stored(code, one, phase) {
  try {
    await sendBatch(code, "generations", /** @type {any} */ (operations(one, phase)), newKey());
  } catch (error) {
    if (!(error instanceof Problem) || error.status !== 412) throw error;
    throw new Problem(412, error.code, "Somebody changed one of these generations meanwhile. Look for what the spaces share once more, then put them in the phase.");
  }
}
