/** What is new for me since I last said that I had seen everything, and what waits for me. */

import { isStop } from "../../api/http.js";
import { news as readNews, seen } from "../../api/news.js";
import { questions as readQuestions } from "../../api/questions.js";
import { path, withQuery } from "../../lib/paths.js";
import { ago, capital, count, date, moment } from "../../lib/words.js";
import { byDiscipline, groupPlace, groupTold, inShort, isNew } from "../../model/news.js";
import { addressee, placeOf, stateMark } from "../../model/questions.js";
import { aboutName } from "../../model/talk.js";
import { button, h, link, refill, stateOf, time } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";

/** @typedef {import("../../model/news.js").News} News */
/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */

const SHOWN = 10;

/** @param {Visit} visit @param {Project} project */
export function newsSection(visit, project) {
  const place = h("div", null, h("p", null, "Looking for what is new …"));
  const heading = h("h2", { id: "news", tabindex: -1 }, "New for you");
  const problem = refusals();
  const show = async () => refill(place, told(project.code, await readNews(project.code, visit.signal), problem, async () => {
    await show();
    heading.focus();
  }), problem.place);
  show().catch((error) => {
    if (isStop(error)) return;
    refill(place, problem.place);
    problem.show(error);
  });
  return h("section", { "aria-labelledby": "news", class: "news" }, heading, place);
}

/** @param {string} code @param {News} news @param {ReturnType<typeof refusals>} problem @param {() => Promise<void>} again */
function told(code, news, problem, again) {
  const since = news.seen_at ? h("span", null, " since ", time(news.seen_at, ago(news.seen_at, Date.now()), moment(news.seen_at))) : null;
  const made = button("I have seen all this", () => busy(made, problem, async () => {
    await seen(code, news.sequence);
    announce("Noted.");
    await again();
  }));
  return [waiting(code, news),
    isNew(news) ? h("div", null, h("h3", null, "New", since), calls(code, news), groups(code, news), h("p", { class: "buttons" }, made))
      : h("p", { class: "empty" }, "Nobody else has written anything", since, ".")];
}

/** @param {string} code @param {News} news */
function waiting(code, { questions, reviews }) {
  if (questions.length + reviews.length === 0) return null;
  return h("div", null, h("h3", null, "Waits for you"), h("ul", { class: "waits" },
    questions.map((one) => h("li", null, link(path("projects", code, "questions", one.number), `Question ${one.number}`), " ", stateOf(stateMark({ state: "open", overdue: one.overdue })),
      one.needed_by && `, needed by ${date(one.needed_by)}`, ` – ${one.created_by} on `, about(code, { ...one, about_field: "" }), `: ${inShort(one.text)}`)),
    reviews.map((one) => h("li", null, link(path("projects", code, "findings", one.number), `Review of interpretation ${one.number}`), ` – asked by ${one.created_by}: ${inShort(one.statement)}`))));
}

/** @param {string} code @param {News} news */
function calls(code, { mentions, answers, answered, comments }) {
  const said = (/** @type {import("../../model/news.js").NewComment} */ one, /** @type {string} */ did) => h("li", null, `${one.created_by} ${did} `, about(code, one), `: ${inShort(one.text)}`);
  const others = comments - new Set([...mentions, ...answers].map((one) => one.id)).size;
  const items = [
    ...mentions.map((one) => said(one, "called you on")),
    ...answers.filter((one) => !mentions.some((other) => other.id === one.id)).map((one) => said(one, "answered in a thread of yours on")),
    ...answered.map((one) => h("li", null, `${one.answered_by} answered your `, link(path("projects", code, "questions", one.number), `question ${one.number}`), `: ${inShort(one.answer)}`)),
    others > 0 && h("li", null, `${count(others, "other comment")}.`),
  ];
  return items.some(Boolean) && h("ul", { class: "waits" }, items);
}

/** @param {string} code @param {News} news */
function groups(code, news) {
  return byDiscipline(news.groups).map(({ discipline, groups: some }) => h("div", { class: "newsgroup" }, h("h4", null, capital(discipline)), h("ul", null, some.map((one) => h("li", null,
    h("strong", null, one.space ? link(path("projects", code, "spaces", one.space), groupPlace(one)) : groupPlace(one)), `: ${groupTold(one)} – `,
    one.records.flatMap((each, index) => {
      const name = `${each.type} ${each.name.startsWith(`${each.type} `) ? each.name.slice(each.type.length + 1) : each.name}`;
      const href = each.action === "removed" ? "" : placeOf(code, each.type, each.id, each.name);
      return [index > 0 ? ", " : "", href ? link(href, name) : name];
    }), one.count > one.records.length && ` and ${count(one.count - one.records.length, "other")}`)))));
}

/** @param {string} code @param {{ about_type: string, about_id: string, about_name: string | null, about_field: string }} one */
function about(code, one) {
  const href = placeOf(code, one.about_type, one.about_id, one.about_name);
  return href ? link(href, aboutName(one)) : aboutName(one);
}

/** The questions that are open, whoever is asked. @param {Visit} visit @param {Project} project */
export function openQuestions(visit, project) {
  const { code } = project;
  const place = h("div", null, h("p", null, "Looking for open questions …"));
  const problem = refusals();
  readQuestions(code, { state: "open", ordering: "needed_by" }, visit.signal).then((found) => {
    const order = [...found.filter((one) => one.needed_by), ...found.filter((one) => !one.needed_by)];
    refill(place, order.length === 0 ? h("p", { class: "empty" }, "No question is open.") : h("ul", { class: "waits" }, order.slice(0, SHOWN).map((one) => h("li", null,
      link(path("projects", code, "questions", one.number), `Question ${one.number}`), " ", stateOf(stateMark(one)), ` – ${one.created_by} to ${addressee(one)} on `, about(code, { ...one, about_field: "" }), `: ${inShort(one.text)}`))),
      h("p", null, link(withQuery(path("projects", code, "questions"), {}), order.length > SHOWN ? `All ${order.length} open questions` : "All questions")));
  }).catch((error) => {
    if (isStop(error)) return;
    refill(place, problem.place);
    problem.show(error);
  });
  return h("section", { "aria-labelledby": "open-questions" }, h("h2", { id: "open-questions" }, "Open questions"), place);
}
