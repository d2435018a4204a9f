/** The key to the marks, in the words of the drawn chart. */

import { KEY } from "../../model/chart/marks.js";
import { h } from "../parts/dom.js";
import { talkMark } from "../parts/talking.js";
import { uvBars } from "./cell.js";

export function legend() {
  return h("details", { class: "legend" }, h("summary", null, "Key to the marks"),
    h("ul", null, KEY.map(([mark, words]) => h("li", null, sample(mark), h("span", null, words))),
      h("li", null, h("span", { class: "sample", "aria-hidden": "true" }, talkMark(1)), h("span", null, "open comments, and how many"))),
    h("p", { class: "hint" }, "A screen colour is never a paint match: the swatches are for orientation, the notations are the record."));
}

/** @param {string} mark */
function sample(mark) {
  const [kind = "", what = ""] = mark.split(" ");
  if (kind === "uv") return h("span", { class: "sample", "aria-hidden": "true" }, uvBars(what));
  if (kind === "held") return h("span", { class: "sample", "aria-hidden": "true" }, "■");
  if (kind === "broken") return h("span", { class: "sample", "aria-hidden": "true" }, h("span", { class: "brokenline" }));
  if (kind === "") return h("span", { class: "sample" });
  const look = kind === "outline" ? `plate ${what}` : "plate plain";
  return h("span", { class: "sample", "aria-hidden": "true" }, h("span", { class: look }, h("span", { class: `paint ${kind === "hatched" || kind === "beyond" ? kind : ""}` })));
}
