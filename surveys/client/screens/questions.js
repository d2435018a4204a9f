/** Questions: what one discipline needs from another, addressed and answered. */

import { question as readQuestion, questions as readQuestions } from "../api/questions.js";
import { project as readProject } from "../api/records.js";
import { path, withQuery } from "../lib/paths.js";
import { count } from "../lib/words.js";
import { VIEWS, asks, viewOf } from "../model/questions.js";
import { mayTalk } from "../model/roles.js";
import { tabs } from "./findings/tabs.js";
import { h, link } from "./parts/dom.js";
import { history as historyOf } from "./parts/history.js";
import { purpose } from "./parts/say.js";
import { talkSection } from "./parts/talking.js";
import { attachmentsSection } from "./pictures/attachments.js";
import { freshness } from "./parts/watching.js";
import { questionForm } from "./questions/form.js";
import { questionView } from "./questions/one.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Project} Project */

const TYPES = ["question"];

/** @param {Visit} visit @param {Project} project */
function shown(visit, project) {
  const me = { username: visit.person?.username ?? "", role: project.role, discipline: project.discipline };
  return { visit, project, me, changed: visit.reload };
}

/** @type {import("./parts/visit.js").Screen} */
export async function questionsScreen(visit) {
  const code = visit.params["code"] ?? "";
  const view = viewOf(visit.query.get("show"));
  const [project, all] = await Promise.all([readProject(code, visit.signal), readQuestions(code, view.query, visit.signal)]);
  const how = shown(visit, project);
  const found = view.mine ? all.filter((one) => asks(one, how.me)) : all;
  return {
    title: "Questions", project, here: "findings",
    body: [
      purpose("What one discipline needs from another: asked of a person or a discipline, about a record, and answered with what the answer rests on."),
      tabs(code, "questions"),
      freshness(visit, code, project.cursor, TYPES),
      mayTalk(project.role) && h("p", { class: "buttons" }, h("a", { class: "button", href: path("projects", code, "questions", "new") }, "New question")),
      h("nav", { class: "tabs", "aria-label": "Which questions" }, VIEWS.map((one) => {
        const made = link(withQuery(path("projects", code, "questions"), { show: one.key === "open" ? "" : one.key }), one.label);
        if (one === view) made.setAttribute("aria-current", "true");
        return made;
      })),
      h("p", { role: "status" }, found.length === 0 ? "There are none." : `${count(found.length, "question")}.`),
      h("div", { class: "questions" }, found.map((one) => questionView(one, how, false))),
    ],
  };
}

/** @type {import("./parts/visit.js").Screen} */
export async function questionScreen(visit) {
  const code = visit.params["code"] ?? "";
  const [project, one] = await Promise.all([readProject(code, visit.signal), readQuestion(code, visit.params["number"] ?? "", visit.signal)]);
  return {
    title: `Question ${one.number}`, project, here: "findings",
    body: [
      purpose("One question with its answer, and what is said about it."),
      h("p", null, link(path("projects", code, "questions"), "All questions")),
      freshness(visit, code, project.cursor, TYPES),
      questionView(one, shown(visit, project), true),
      attachmentsSection(visit, project, "question", one.id),
      talkSection(visit, project, "question", one.id),
      h("section", { "aria-labelledby": "history" }, h("h2", { id: "history" }, "Its history"), historyOf({ code, signal: visit.signal, id: one.id, changed: visit.reload })),
    ],
  };
}

/** @type {import("./parts/visit.js").Screen} */
export async function newQuestionScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  const [type, id, name] = ["about", "id", "name"].map((key) => visit.query.get(key) ?? "");
  const about = type && id ? { type, id } : { type: "project", id: project.id };
  return {
    title: "New question", project, here: "findings",
    body: [
      purpose("Whoever is asked finds it under what waits for them, and by e-mail if they want that."),
      h("p", null, "About: ", h("strong", null, about.type === "project" ? "the project as a whole" : `${about.type} ${name}`), ".",
        about.type === "project" && " To ask about one record, begin from its own page."),
      questionForm({ visit, project, about, leave: () => history.back(), saved: (made) => visit.go(path("projects", code, "questions", made.number), { replace: true }) }),
    ],
  };
}
