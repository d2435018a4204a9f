/** What was removed, act by act, and bringing it back. */

import { bringBack, removed as readRemoved } from "../api/past.js";
import { project as readProject } from "../api/records.js";
import { path, withQuery } from "../lib/paths.js";
import { ago, capital, list, moment } from "../lib/words.js";
import { KINDS, called, whatWent } from "../model/past.js";
import { Problem } from "../model/problems.js";
import { mayManage } from "../model/roles.js";
import { h, link, stateOf, time } from "./parts/dom.js";
import { announce, askedButton, busy, purpose, refusals } from "./parts/say.js";
import { table } from "./parts/table.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/past.js").RemovedAct} RemovedAct */

/** @type {import("./parts/visit.js").Screen} */
export async function removedScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  if (!mayManage(project.role)) throw new Problem(404, "not-found", "There is nothing at this address.");
  const kind = visit.query.get("kind");
  const page = await readRemoved(code, { before: visit.query.get("before"), record_type: kind }, visit.signal);
  const here = path("projects", code, "removed");
  const problem = refusals();
  const choice = h("select", { id: "kind", onchange: () => visit.go(withQuery(here, { kind: choice.value })) },
    h("option", { value: "" }, "Everything"), KINDS.map(([word, text]) => h("option", { value: word, selected: word === kind }, text)));
  return {
    title: "Removed", project, here: "removed",
    body: [
      purpose("What was removed, by whom and when. What you bring back is as it was, with all that went with it; its history goes on."),
      h("p", null, h("label", { for: "kind" }, "Show "), choice),
      problem.place,
      table("Removed", ["What", "When", "State", "Bring back"], page.acts.map((act) => row(visit, code, act, problem)), { empty: "Nothing was removed." }),
      h("p", { class: "pages" }, visit.query.get("before") && link(withQuery(here, { kind }), "Newest"), page.cursor !== null && link(withQuery(here, { kind, before: page.cursor }), "Older")),
    ],
  };
}

/** @param {Visit} visit @param {string} code @param {RemovedAct} act @param {ReturnType<typeof refusals>} problem */
function row(visit, code, act, problem) {
  const what = capital(whatWent(act));
  const deed = askedButton("Bring back", `Bring back ${whatWent(act)}?`, "Bring back", (pressed) => busy(pressed, problem, async () => {
    const { restored } = await bringBack(code, act.act);
    const named = restored.slice(0, 3).map((one) => called(one.type, one.name));
    announce(`Brought back: ${list(restored.length > 3 ? [...named, `${restored.length - 3} more`] : named)}.`);
    visit.reload();
  }));
  deed.querySelector("button")?.setAttribute("aria-label", `Bring back ${whatWent(act)}`);
  return [
    h("span", null, what, act.reason && h("span", { class: "reason" }, ` (${act.reason.replace(/\.$/, "")})`)),
    h("span", null, time(act.at, ago(act.at, Date.now()), moment(act.at)), ` by ${act.actor}`),
    act.state === "removed" ? stateOf({ mark: "✕", word: "removed" }) : stateOf({ mark: "●", word: "brought back" }),
    act.recoverable ? deed : act.hindrance,
  ];
}
