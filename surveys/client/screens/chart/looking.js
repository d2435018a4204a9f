/** Where to look next: worked out by the service when one opens it; each entry selects its layers in the chart. */

import { looking as readLooking } from "../../api/results.js";
import { gainWords, kindOf, selectWords } from "../../model/chart/looking.js";
import { button, h, refill, stateOf } from "../parts/dom.js";
import { announce, refusals } from "../parts/say.js";

/** @typedef {import("../../model/chart/looking.js").Looking} Looking */
/** @typedef {import("../../model/chart/looking.js").Suggestion} Suggestion */

/**
 * @param {string} code @param {string} space its id @param {boolean} writes @param {{ signal: AbortSignal, query: { get(name: string): string | null } }} visit
 * @param {(layers: string[]) => void} select
 * @returns {{ element: HTMLElement, changed: () => void }}
 */
export function lookingSection(code, space, writes, visit, select) {
  const place = h("div", { class: "looking" });
  const problem = refusals();
  let known = false;
  const ask = async () => {
    known = true;
    problem.clear();
    refill(place, h("p", { class: "hint" }, "Weighing what would settle most …"));
    try {
      const found = await readLooking(code, space, visit.signal);
      refill(place, list(found, writes, select));
      announce(`${found.rulings.length} things to rule on and ${found.examinations.length} to examine. ${found.sentence}`);
    } catch (error) {
      known = false;
      refill(place);
      problem.show(error);
    }
  };
  const element = h("details", { class: "lookingnext", open: visit.query.get("looking") === "yes", ontoggle: () => {
    told(element.open);
    if (element.open && !known) ask();
  } },
    h("summary", null, "Where to look next"), problem.place, place);
  const changed = () => {
    if (!known) return;
    known = false;
    if (!element.open) return;
    const again = button("Work it out again", () => { ask(); });
    place.prepend(h("p", { class: "hint" }, "The record has changed since this was worked out. ", again));
  };
  return { element, changed };
}

/** The address tells whether it is open, so that it can be sent to somebody. @param {boolean} open */
function told(open) {
  const query = new URLSearchParams(location.search);
  if (open) query.set("looking", "yes");
  else query.delete("looking");
  history.replaceState(null, "", `${location.pathname}${query.size ? `?${query}` : ""}`);
}

/** @param {Looking} found @param {boolean} writes @param {(layers: string[]) => void} select */
function list(found, writes, select) {
  const items = (/** @type {readonly Suggestion[]} */ some) => h("ol", { class: "missing" }, some.map((one) => h("li", null,
    stateOf(kindOf(one.kind)), " – ", one.sentence, " ", h("span", { class: "reason" }, `Expected to settle ${gainWords(one, found)}.`), " ",
    button(selectWords(one, writes), () => select(one.layer_ids), { class: "quiet" }))));
  return h("div", null, h("p", { class: "hint" }, found.sentence),
    found.rulings.length > 0 && h("h3", null, "To rule on"), found.rulings.length > 0 && items(found.rulings),
    found.examinations.length > 0 && h("h3", null, "To examine"), found.examinations.length > 0 && items(found.examinations));
}
