/** A plate of the section's pictures: asked for here, fetched on Outputs. */

import { ask } from "../../api/work.js";
import { path } from "../../lib/paths.js";
import { h } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";

const FORMS = /** @type {const} */ ([["pdf", "PDF"], ["png", "PNG"]]);

/** @param {import("../parts/visit.js").Visit} visit @param {string} code @param {string} sample @param {Record<string, string>} [more] which pictures and line, if not the first */
export function plateButton(visit, code, sample, more = {}) {
  const problem = refusals();
  const form = h("select", { "aria-label": "Plate as" }, FORMS.map(([value, text]) => h("option", { value }, text)));
  const made = h("button", { type: "button", class: "quiet" }, "Make a plate");
  made.addEventListener("click", () => busy(made, problem, async () => {
    await ask(code, "plate", { sample, format: form.value, ...more });
    announce("Asked for: its progress is on Outputs.");
    visit.go(path("projects", code, "outputs"));
  }));
  return h("span", { class: "plate" }, made, " ", form, problem.place);
}
