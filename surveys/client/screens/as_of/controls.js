/** As of when, and where: a slider over the years with the year beside it, or a phase. */

import * as model from "../../model/as_of.js";
import { PRIORS, whole } from "../../model/years.js";
import { button, h } from "../parts/dom.js";

/**
 * @param {model.View} view @param {{ from: number, to: number }} range @param {readonly model.Phase[]} phases
 * @param {readonly { number: string, name: string }[]} spaces @param {(change: Partial<model.View>) => void} go
 */
export function controls(view, range, phases, spaces, go) {
  const at = view.year ?? model.middle(range);
  const fault = h("p", { class: "fault", role: "alert" });
  const number = h("input", { id: "as-of-year", size: 8, autocomplete: "off", value: model.yearInWords(at) });
  const slider = h("input", {
    id: "as-of-slider", type: "range", min: Math.min(range.from, at), max: Math.max(range.to, at), step: 1, value: at, "aria-valuetext": model.yearInWords(at),
    oninput: () => {
      number.value = model.yearInWords(Number(slider.value));
      slider.setAttribute("aria-valuetext", number.value);
    },
    onchange: () => go({ year: Number(slider.value), phase: null }),
  });
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const wanted = whole(number.value);
    if (wanted === null || Math.abs(wanted) > model.FURTHEST) fault.textContent = "Write a year as 1838 or 120 BCE.";
    else go({ year: wanted, phase: null });
  };
  const phase = h("select", { id: "as-of-phase", onchange: () => go(phase.value ? { phase: Number(phase.value) } : { phase: null, year: at }) },
    h("option", { value: "" }, "by year"), phases.map((one) => h("option", { value: one.ordinal, selected: one.ordinal === view.phase }, model.phaseInWords(one))));
  const space = h("select", { id: "as-of-space", onchange: () => go({ space: space.value }) },
    h("option", { value: "" }, "all"), spaces.map((one) => h("option", { value: one.number, selected: one.number === view.space }, `${one.number} ${one.name}`)));
  const prior = h("select", { id: "as-of-prior", onchange: () => go({ prior: prior.value === "span" ? "span" : "ordered" }) },
    PRIORS.map(([key, , label]) => h("option", { value: key, selected: key === view.prior }, label)));
  const tentative = h("input", { type: "checkbox", id: "as-of-tentative", checked: view.tentative, onchange: () => go({ tentative: tentative.checked }) });
  const step = (/** @type {number} */ by) => go({ year: at + by, phase: null });
  return h("form", { class: "search asof", onsubmit: send, "aria-label": "As of when" },
    h("div", { class: "field slide" }, h("label", { for: "as-of-slider" }, "Slide to a year"), slider,
      h("span", { class: "ends", "aria-hidden": "true" }, h("span", null, model.yearInWords(range.from)), h("span", null, model.yearInWords(range.to)))),
    h("div", { class: "field" }, h("label", { for: "as-of-year" }, "Year"), number), h("button", { type: "submit" }, "Show"),
    h("div", { class: "buttons", role: "group", "aria-label": "Step through the years" }, button("10 earlier", () => step(-10), { class: "quiet" }), button("10 later", () => step(10), { class: "quiet" })),
    phases.length > 0 && h("div", { class: "field" }, h("label", { for: "as-of-phase" }, "Or the end of a phase"), phase),
    h("div", { class: "field" }, h("label", { for: "as-of-space" }, "Space"), space),
    h("div", { class: "field" }, h("label", { for: "as-of-prior" }, "Equally likely"), prior),
    h("div", { class: "choice" }, tentative, " ", h("label", { for: "as-of-tentative" }, "What if tentative evidence counts")),
    fault);
}
