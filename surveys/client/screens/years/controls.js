/** What is shown on the axis: which years, which spaces, which prior, and what if. */

import { year } from "../../lib/words.js";
import * as model from "../../model/years.js";
import { button, h } from "../parts/dom.js";

/** @typedef {import("../../model/years.js").View} View */
/** @typedef {import("../../model/years.js").Range} Range */

/**
 * @param {View} view @param {readonly string[]} spaces @param {Range} whole
 * @param {{ change: (view: Partial<View>) => void, range: (range: Range) => void, zoom: (share: number) => void, pan: (share: number) => void }} deeds
 */
export function controls(view, spaces, whole, deeds) {
  const [from, to] = [yearField("from", "From"), yearField("to", "To")];
  const fault = h("p", { class: "fault", role: "alert" });
  const show = (/** @type {Range} */ range) => {
    from.input.value = year(range.from);
    to.input.value = year(range.to);
    fault.textContent = "";
  };
  const wanted = (/** @type {Event} */ event) => {
    event.preventDefault();
    const [first, last] = [model.whole(from.input.value), model.whole(to.input.value)];
    if (first === null || last === null) fault.textContent = "Write years as 1838 or 120 BCE.";
    else if (last - first < model.NARROWEST) fault.textContent = `Show at least ${model.NARROWEST} years, the earlier first.`;
    else deeds.range({ from: Math.max(first, whole.from), to: Math.min(last, whole.to) });
  };
  show(view.range ?? whole);
  const prior = h("select", { id: "prior", onchange: () => deeds.change({ prior: prior.value === "span" ? "span" : "ordered" }) },
    model.PRIORS.map(([key, , label]) => h("option", { value: key, selected: key === view.prior }, label)));
  const tentative = h("input", { type: "checkbox", id: "tentative", checked: view.tentative, onchange: () => deeds.change({ tentative: tentative.checked }) });
  return {
    element: h("form", { class: "search years", onsubmit: wanted, "aria-label": "What is shown" },
      from.element, to.element, h("button", { type: "submit" }, "Show"),
      h("div", { class: "buttons", role: "group", "aria-label": "Move along the years" },
        button("Earlier", () => deeds.pan(-0.4)), button("Later", () => deeds.pan(0.4)), button("Closer", () => deeds.zoom(0.6)), button("Wider", () => deeds.zoom(1 / 0.6)),
        button("All years", () => deeds.range(whole))),
      h("div", { class: "field" }, h("label", { for: "prior" }, "Equally likely"), prior),
      chooser(view, spaces, deeds.change),
      h("div", { class: "choice" }, tentative, " ", h("label", { for: "tentative" }, "What if tentative evidence counts")),
      fault),
    range: show,
  };
}

/** @param {string} id @param {string} text */
function yearField(id, text) {
  const input = h("input", { id: `${id}-year`, size: 8, inputmode: "text", autocomplete: "off" });
  return { input, element: h("div", { class: "field" }, h("label", { for: `${id}-year` }, text), input) };
}

/** @param {View} view @param {readonly string[]} spaces @param {(view: Partial<View>) => void} change */
function chooser(view, spaces, change) {
  const boxes = spaces.map((space) => {
    const box = h("input", { type: "checkbox", id: `space-${space}`, value: space, checked: view.spaces.length === 0 || view.spaces.includes(space) });
    return { box, element: h("span", { class: "choice" }, box, " ", h("label", { for: `space-${space}` }, space)) };
  });
  const set = (/** @type {boolean} */ on) => boxes.forEach(({ box }) => { box.checked = on; });
  const show = () => {
    const chosen = boxes.filter(({ box }) => box.checked).map(({ box }) => box.value);
    change({ spaces: chosen.length === spaces.length ? [] : chosen, at: "" });
  };
  const told = view.spaces.length === 0 ? "all" : view.spaces.join(", ");
  return h("details", { class: "chooser" }, h("summary", null, `Spaces: ${told}`),
    h("div", { class: "panel", role: "group", "aria-label": "Spaces to show" }, boxes.map(({ element }) => element),
      h("p", { class: "buttons" }, button("All", () => set(true), { class: "quiet" }), button("None", () => set(false), { class: "quiet" }), button("Show these spaces", show))));
}
