/** A plate of the section's pictures: asked for, waited for and fetched where one is. It is on Outputs too. */

import { ask } from "../../api/work.js";
import { now } from "../../model/jobs.js";
import { Problem } from "../../model/problems.js";
import { h, newId, refill } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";
import { fileLinks, follow } from "../parts/watching.js";

const FORMS = /** @type {const} */ ([["pdf", "PDF"], ["png", "PNG"]]);

/** @param {import("../parts/visit.js").Visit} visit @param {string} code @param {string} sample @param {() => Record<string, string>} [more] which picture, if not the first */
export function plateButton(visit, code, sample, more = () => ({})) {
  const problem = refusals();
  const id = newId("plate");
  const form = h("select", { id }, FORMS.map(([value, text]) => h("option", { value }, text)));
  const place = h("div", { class: "platefile" });
  const made = h("button", { type: "button", class: "quiet" }, "Make a plate");
  made.addEventListener("click", () => busy(made, problem, async () => {
    const job = await ask(code, "plate", { sample, format: form.value, ...more() });
    const ended = await follow(visit.signal, code, job, (one) => { place.textContent = now(one); });
    const done = ended.state === "done";
    refill(place, done && h("ul", { class: "files" }, fileLinks(ended)));
    if (!done) throw new Problem(409, "no-plate", ended.error);
    announce("The plate is made; it can be downloaded.");
  }));
  return h("div", { class: "platemaker" }, made, " ", h("label", { for: id }, "as"), " ", form, place, problem.place);
}
