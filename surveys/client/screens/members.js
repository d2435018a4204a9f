/** Who belongs to a project: roles and disciplines, letting in, leaving, handing over. */

import { all, change, create, project as readProject, vocabulary } from "../api/records.js";
import { mayManage } from "../model/roles.js";
import { Problem } from "../model/problems.js";
import { inviting } from "./members/invitations.js";
import { goingPanel, handingOver, leavingMyself } from "./members/leaving.js";
import { button, h, refill } from "./parts/dom.js";
import { recordForm } from "./parts/form.js";
import { announce, busy, purpose, refusals } from "./parts/say.js";
import { table } from "./parts/table.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Member} Member */
/** @typedef {import("../model/types.js").Row} Row */

const MEANING = [
  ["coordinator", "writes, and also sets up the project and its members, issues schedules, and brings back what was removed"],
  ["consultant", "writes, imports, correlates and reviews"],
  ["owner", "sees everything, comments, asks, answers and reviews; changes no record"],
  ["contractor", "sees issued schedules only, and comments on them"],
];

/** @type {import("./parts/visit.js").Screen} */
export async function membersScreen(visit) {
  const code = visit.params["code"] ?? "";
  const [project, words] = await Promise.all([readProject(code, visit.signal), vocabulary()]);
  /** @type {Member[]} */
  const members = await all(code, "members", {}, visit.signal);
  const manages = mayManage(project.role);
  const problem = refusals();
  const going = h("div");
  const others = members.filter((one) => one.username !== visit.person?.username);
  const rows = members.map((one) => [
    `${one.name} (${one.username})`,
    manages ? choice(visit, code, one, "role", words["roles"] ?? [], problem) : one.role,
    manages ? choice(visit, code, one, "discipline", words["disciplines"] ?? [], problem) : one.discipline,
    ...(manages ? [removal(visit, code, one, members, going)] : []),
  ]);
  return {
    title: "Members",
    project,
    here: "members",
    body: [
      purpose("Who belongs to this project, and what each may do. What somebody wrote stays, with the name, when a membership ends."),
      h("dl", { class: "told" }, MEANING.flatMap(([role, text]) => [h("dt", null, role), h("dd", null, text)])),
      table("Members", ["Name", "Role", "Discipline", ...(manages ? ["Remove"] : [])], rows),
      problem.place, going,
      manages && inviting(visit, code, words),
      manages && h("section", { "aria-labelledby": "add" }, h("h2", { id: "add" }, "Add somebody who signs in here already"), addForm(visit, code, words)),
      manages && handingOver(visit, code, others, words["roles"] ?? []),
      leavingMyself(visit, code, others),
    ],
  };
}

/** @param {Visit} visit @param {string} code @param {Member} one @param {readonly Member[]} members @param {HTMLElement} going */
function removal(visit, code, one, members, going) {
  if (one.username === visit.person?.username) return "you: see Leave below";
  return button("Remove …", () => refill(going, goingPanel({ visit, code, id: one.id, others: members.filter((other) => other.id !== one.id), done: visit.reload })),
    { class: "quiet", "aria-label": `Remove ${one.name} …` });
}

/**
 * A choice that is saved when its button is pressed: a role is too weighty to change by a slip of an arrow key.
 * @param {Visit} visit @param {string} code @param {Member} member @param {"role" | "discipline"} name @param {string[]} words @param {ReturnType<typeof refusals>} problem
 */
function choice(visit, code, member, name, words, problem) {
  const select = h("select", { "aria-label": `${name === "role" ? "Role" : "Discipline"} of ${member.name}`, onchange: () => { save.hidden = select.value === member[name]; } },
    words.map((word) => h("option", { value: word, selected: word === member[name] }, word)));
  const save = h("button", { type: "button", hidden: true, "aria-label": `Save the ${name} of ${member.name}` }, "Save");
  save.addEventListener("click", () => busy(save, problem, async () => {
    try {
      await change(code, "members", /** @type {Row} */ (/** @type {unknown} */ (member)), { [name]: select.value });
    } catch (error) {
      if (error instanceof Problem && error.status === 412) throw new Problem(412, "stale", `Somebody else changed this membership meanwhile: ${error.current?.role}, ${error.current?.discipline}. Reload the page and choose again.`);
      throw error;
    }
    announce("Saved.");
    visit.reload();
  }));
  return h("span", { class: "choice" }, select, " ", save);
}

/** @param {Visit} visit @param {string} code @param {Record<string, string[]>} words */
function addForm(visit, code, words) {
  return recordForm({
    fields: [
      { name: "username", label: "Name used to sign in", required: true },
      { name: "role", label: "Role", type: "word", words: "roles", required: true },
      { name: "discipline", label: "Discipline", type: "word", words: "disciplines", required: true },
    ],
    row: null, words, resolve: async () => null, button: "Add",
    save: (values) => create(code, "members", values),
    saved: () => visit.reload(),
    unsaved: visit.unsaved,
  });
}
