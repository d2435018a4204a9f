/** The row of tools above a chart: its size, and what can be done with the layers that are selected. */

import { button, h } from "../parts/dom.js";

/** @typedef {import("../../model/chart/layout.js").Zoom} Zoom */
/** @typedef {import("../../model/chart/choosing.js").RulingKind} RulingKind */

const SIZES = /** @type {readonly (readonly [zoom: Zoom, word: string])[]} */ ([["small", "small"], ["usual", "usual"], ["large", "large"]]);

/**
 * @typedef {object} Deeds
 * @property {(zoom: Zoom) => void} zoom
 * @property {(kind: RulingKind) => void} rule
 * @property {() => void} preview
 * @property {() => void} details
 * @property {() => void} clear
 * @property {() => void} talk
 * @property {() => void} cite
 */

export class Tools {
  /** @param {Deeds} deeds @param {boolean} writes */
  constructor(deeds, writes) {
    this.sizes = SIZES.map(([zoom, word]) => /** @type {const} */ ([zoom, button(word, () => deeds.zoom(zoom), { class: "quiet" })]));
    this.chosen = h("span", { class: "chosenwords" });
    this.said = h("span", { class: "hindrance" });
    const rule = (/** @type {RulingKind} */ kind, /** @type {string} */ text) => button(text, () => deeds.rule(kind));
    this.element = h("div", { class: "charttools" },
      h("span", { class: "sizes", role: "group", "aria-label": "Size of the chart" }, "Size ", this.sizes.map(([, made]) => made)),
      writes && h("span", { class: "ruling", role: "group", "aria-label": "Rulings on the selected layers" },
        rule("tie", "Tie (T)"), rule("bar", "Bar (B)"), rule("hold", "Hold (H)"), button("Preview (P)", deeds.preview), button("Cite …", deeds.cite, { class: "quiet" }), button("Clear", deeds.clear, { class: "quiet" })),
      button("Details (Enter)", deeds.details, { class: "quiet" }), button("Comments (C)", deeds.talk, { class: "quiet" }), this.chosen, this.said);
  }

  /** @param {Zoom} zoom @param {string} chosen */
  show(zoom, chosen) {
    for (const [name, made] of this.sizes) made.setAttribute("aria-pressed", String(name === zoom));
    this.chosen.textContent = chosen;
    this.said.textContent = "";
  }

  /** @param {string} text */
  say(text) {
    this.said.textContent = text;
  }
}
