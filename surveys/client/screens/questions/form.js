/** The form of a question: what, of whom, by when. */

import { candidates } from "../../api/talk.js";
import { ask, reword } from "../../api/questions.js";
import { vocabulary } from "../../api/records.js";
import { Problem, sorted } from "../../model/problems.js";
import { h, newId, refill } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";

/** @typedef {import("../../model/questions.js").Question} Question */

const PERSON = "person:";
const DISCIPLINE = "discipline:";

/**
 * @param {object} options
 * @param {import("../parts/visit.js").Visit} options.visit
 * @param {import("../../model/types.js").Project} options.project
 * @param {Question} [options.one] the question that is put otherwise; without it a new one is asked
 * @param {{ type: string, id: string }} [options.about] what a new one is about
 * @param {() => void} options.leave
 * @param {(saved: Question) => void} options.saved
 */
export function questionForm({ visit, project, one, about, leave, saved }) {
  const problem = refusals();
  const faults = { text: h("span", { class: "fault" }), to: h("span", { class: "fault" }), needed_by: h("span", { class: "fault" }) };
  const [textId, toId, dayId] = [newId("ask"), newId("ask"), newId("ask")];
  const text = h("textarea", { id: textId, rows: 3, maxlength: 20_000, required: true });
  const to = h("select", { id: toId, required: true }, h("option", { value: "" }, "choose …"));
  const day = h("input", { id: dayId, type: "date" });
  text.value = one?.text ?? "";
  day.value = one?.needed_by ?? "";
  fillChoices().catch((error) => problem.show(error));
  const submit = h("button", { type: "submit", class: "main" }, one ? "Save" : "Ask");
  const form = h("form", { class: "record", novalidate: true, oninput: () => visit.unsaved(true), onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(submit, problem, send);
  }, onkeydown: (/** @type {KeyboardEvent} */ event) => {
    if (event.key === "Escape") left();
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) form.requestSubmit();
  } },
    h("div", { class: "fields" },
      h("div", { class: "field wide" }, h("label", { for: textId }, "Question"), text, faults.text),
      h("div", { class: "field" }, h("label", { for: toId }, "To"), to, faults.to),
      h("div", { class: "field" }, h("label", { for: dayId }, "Needed by"), day, faults.needed_by)),
    problem.place, h("p", { class: "buttons" }, submit, h("button", { type: "button", class: "quiet", onclick: left }, "Cancel")));

  async function fillChoices() {
    const [people, words] = await Promise.all([candidates(project.code, visit.signal), vocabulary()]);
    const chosen = one ? (one.to_person ? PERSON + one.to_person : DISCIPLINE + one.to_discipline) : "";
    refill(to, h("option", { value: "" }, "choose …"),
      h("optgroup", { label: "A discipline" }, (words["disciplines"] ?? []).map((word) => h("option", { value: DISCIPLINE + word }, word))),
      h("optgroup", { label: "A person" }, people.filter((each) => each.username !== visit.person?.username).map((each) => h("option", { value: PERSON + each.username }, `${each.name}, ${each.discipline}`))));
    to.value = chosen;
  }

  function left() {
    visit.unsaved(false);
    leave();
  }

  async function send() {
    tell({});
    const [kind, name] = to.value.startsWith(PERSON) ? ["to_person", to.value.slice(PERSON.length)] : ["to_discipline", to.value.slice(DISCIPLINE.length)];
    const values = { text: text.value, needed_by: day.value || null, ...(to.value ? { [String(kind)]: name } : {}) };
    try {
      const made = one ? await reword(project.code, one, values) : await ask(project.code, { ...values, about_type: about?.type, about_id: about?.id });
      visit.unsaved(false);
      announce(one ? "Saved." : "Asked.");
      saved(made);
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      const { beside, whole } = sorted(error.places, ["text", "to_person", "to_discipline", "needed_by"]);
      const found = { text: beside["text"] ?? "", to: beside["to_person"] ?? beside["to_discipline"] ?? "", needed_by: beside["needed_by"] ?? "" };
      tell(found);
      if (whole.length > 0 || !Object.values(found).some(Boolean)) throw error;
    }
  }

  /** @param {Partial<Record<keyof typeof faults, string>>} found */
  function tell(found) {
    const inputs = { text, to, needed_by: day };
    for (const name of /** @type {const} */ (["needed_by", "to", "text"])) {
      faults[name].textContent = found[name] ?? "";
      if (found[name]) inputs[name].setAttribute("aria-invalid", "true");
      else inputs[name].removeAttribute("aria-invalid");
      if (found[name]) inputs[name].focus();
    }
  }

  return form;
}
