/** The parts of Findings. */

import { path } from "../../lib/paths.js";
import { h, link } from "../parts/dom.js";

/** @param {string} code @param {"interpretations" | "questions" | "sides"} here */
export function tabs(code, here) {
  const entries = [["interpretations", "Interpretations", path("projects", code, "findings")], ["questions", "Questions", path("projects", code, "questions")],
    ["sides", "Side by side", path("projects", code, "side-by-side")]];
  return h("nav", { class: "tabs", "aria-label": "Findings" }, entries.map(([name, text, href]) => {
    const made = link(String(href), String(text));
    if (name === here) made.setAttribute("aria-current", "page");
    return made;
  }));
}
