/** What the sample still lacks, as a list that leads to where it is mended. */

import { button, h, newId, refill } from "../parts/dom.js";

/** @typedef {import("../../model/bench/lacks.js").Lack} Lack */
/** @typedef {import("../../model/bench/lacks.js").Place} Place */

/** @param {(place: Place) => void} go */
export function lackingPanel(go) {
  const title = newId("lacking");
  const list = h("ul", { class: "lacking" });
  const heading = h("h2", { id: title }, "Still lacking");
  let last = "";
  return {
    element: h("section", { class: "lackingpart", "aria-labelledby": title }, heading, list),
    /** @param {Lack[]} found @param {boolean} writes */
    draw(found, writes) {
      const key = JSON.stringify([found, writes]);
      if (key === last) return;
      last = key;
      const at = [...list.querySelectorAll("button")].findIndex((one) => one === document.activeElement);
      heading.textContent = found.length === 0 ? "Nothing is lacking" : "Still lacking";
      refill(list, found.map((one) => item(one, go)));
      if (at >= 0) [...list.querySelectorAll("button")].at(Math.min(at, list.querySelectorAll("button").length - 1))?.focus();
    },
    focus() {
      list.querySelector("button")?.focus();
    },
  };
}

/** @param {Lack} lack @param {(place: Place) => void} go */
function item(lack, go) {
  const [first] = lack.places;
  if (!first) return h("li", null, lack.text);
  if (first.says === "") return h("li", null, button(lack.text, () => go(first), { class: "quiet" }));
  const buttons = lack.places.map((place) => button(place.says, () => go(place), { class: "quiet", "aria-label": `${lack.text}: layer ${place.says}` }));
  return h("li", null, `${lack.text}: ${lack.places.length === 1 ? "layer" : "layers"} `, buttons.flatMap((one) => [one, " "]));
}
