/** How a question looks, and what may be done with it in place. */

import { answer as sendAnswer, move } from "../../api/questions.js";
import { path } from "../../lib/paths.js";
import { ago, date, moment } from "../../lib/words.js";
import { addressee, asked, mayAnswer, placeOf, restsOn, stateMark } from "../../model/questions.js";
import { aboutName } from "../../model/talk.js";
import { citationPicker } from "../findings/citations.js";
import { talkText } from "../parts/comment.js";
import { button, h, link, newId, refill, stateOf, time } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";
import { questionForm } from "./form.js";

/** @typedef {import("../../model/questions.js").Question} Question */
/** @typedef {import("../../model/questions.js").Me} Me */
/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */

/**
 * @typedef {object} Shown
 * @property {Visit} visit
 * @property {Project} project
 * @property {Me} me
 * @property {() => void} changed told when something was done with it
 */

/** @param {Question} one @param {Shown} shown @param {boolean} whole whether it stands by itself, under its own title */
export function questionView(one, shown, whole) {
  const { project } = shown;
  const title = newId("question");
  const part = h("article", { class: "question", "aria-labelledby": title });
  const forms = h("div");
  const problem = refusals();
  refill(part,
    h("h2", { id: title }, whole ? `Question ${one.number}` : link(path("projects", project.code, "questions", one.number), `Question ${one.number}`), " ", stateOf(stateMark(one))),
    h("p", { class: "by" }, one.created_by, " asks ", h("strong", null, addressee(one)), " about ", aboutLink(project.code, one), ", ", told(one.created_at),
      one.needed_by && h("span", null, one.state === "open" ? ". Needed by " : ". Was needed by ", h("strong", null, date(one.needed_by)))),
    talkText(one.text, []), answered(project.code, one), deeds(one, shown, forms, problem), problem.place, forms);
  return part;
}

/** @param {string} at */
function told(at) {
  return time(at, ago(at, Date.now()), moment(at));
}

/** @param {string} code @param {Pick<Question, "about_type" | "about_id" | "about_name">} one */
export function aboutLink(code, one) {
  const name = aboutName({ ...one, about_field: "" });
  const href = placeOf(code, one.about_type, one.about_id, one.about_name);
  return href ? link(href, name) : name;
}

/** @param {string} code @param {Question} one */
function answered(code, one) {
  if (!one.answer) return null;
  const rests = one.answer_records.map((each, index) => [index > 0 ? ", " : "", aboutLink(code, { about_type: each.type, about_id: each.id, about_name: each.name })]);
  return h("div", { class: "answer" }, h("p", { class: "by" }, one.state === "answered" ? "" : "The answer before it was asked again: ", h("strong", null, one.answered_by ?? ""), one.answered_at && [", ", told(one.answered_at)]),
    talkText(one.answer, []), rests.length > 0 && h("p", null, "It rests on ", rests.flat(), "."));
}

/** @param {Question} one @param {Shown} shown @param {HTMLElement} place @param {ReturnType<typeof refusals>} problem */
function deeds(one, shown, place, problem) {
  const { project, me, changed } = shown;
  const moving = (/** @type {"withdraw" | "reopen"} */ deed, /** @type {string} */ text, /** @type {string} */ said) => {
    const made = button(text, () => busy(made, problem, async () => {
      await move(project.code, one, deed);
      announce(said);
      changed();
    }), { class: "quiet" });
    return made;
  };
  const own = asked(one, me);
  const all = [
    mayAnswer(one, me) && button("Answer", () => answerForm(one, shown, place), { class: "main" }),
    own && one.state === "open" && button("Edit", () => editForm(one, shown, place), { class: "quiet" }),
    own && one.state === "open" && moving("withdraw", "Withdraw", "Withdrawn."),
    own && one.state !== "open" && moving("reopen", "Ask again", "Asked again."),
  ].filter(Boolean);
  return all.length > 0 && h("p", { class: "buttons" }, all);
}

/** @param {Question} one @param {Shown} shown @param {HTMLElement} place */
function editForm(one, shown, place) {
  refill(place, questionForm({ ...shown, one, leave: () => refill(place), saved: () => shown.changed() }));
  place.querySelector("textarea")?.focus();
}

/** @param {Question} one @param {Shown} shown @param {HTMLElement} place */
function answerForm(one, { visit, project, changed }, place) {
  const problem = refusals();
  const id = newId("answer");
  const text = h("textarea", { id, rows: 4, maxlength: 20_000, oninput: () => visit.unsaved(true) });
  text.value = one.answer;
  const picker = citationPicker({ code: project.code, cites: one.answer_records.map((each) => ({ type: each.type, id: each.id, name: each.name ?? "", note: "" })), self: null, signal: visit.signal, changed: () => visit.unsaved(true) });
  const submit = h("button", { type: "submit", class: "main" }, "Answer");
  const leave = () => {
    visit.unsaved(false);
    refill(place);
  };
  const form = h("form", { class: "record", novalidate: true, onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(submit, problem, async () => {
      await sendAnswer(project.code, one, text.value, restsOn(picker.cites()));
      visit.unsaved(false);
      announce("Answered.");
      changed();
    });
  }, onkeydown: (/** @type {KeyboardEvent} */ event) => {
    if (event.defaultPrevented) return;
    if (event.key === "Escape") leave();
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey)) form.requestSubmit();
  } }, h("div", { class: "field wide" }, h("label", { for: id }, "Answer"), text), picker.element, problem.place,
    h("p", { class: "buttons" }, submit, h("button", { type: "button", class: "quiet", onclick: leave }, "Cancel")));
  refill(place, form);
  text.focus();
}
