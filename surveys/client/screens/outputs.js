/** Jobs and what they made. */

import { isStop, wait } from "../api/http.js";
import { all, project as readProject } from "../api/records.js";
import { ask, jobs as readJobs } from "../api/work.js";
import { path, withQuery } from "../lib/paths.js";
import { ago, moment } from "../lib/words.js";
import * as waits from "../lib/waits.js";
import { isOpen } from "../model/jobs.js";
import { mayManage, mayWrite } from "../model/roles.js";
import { asking } from "./outputs/asking.js";
import { button, h, link, refill, time } from "./parts/dom.js";
import { busy, purpose, refusals } from "./parts/say.js";
import { jobView } from "./parts/watching.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Job} Job */
/** @typedef {import("../model/types.js").Project} Project */
/** @typedef {import("../model/types.js").Space} Space */

const SHOWN = 50;
const NEEDS_WRITING = new Set(["correlate", "date", "import", "check-import"]);
const NEEDS_MANAGING = new Set(["archive", "import-archive"]);

/** @type {import("./parts/visit.js").Screen} */
export async function outputsScreen(visit) {
  const code = visit.params["code"] ?? "";
  const project = await readProject(code, visit.signal);
  const list = h("ol", { class: "jobs" });
  const problem = refusals();
  const [{ results: found }, rows] = await Promise.all([readJobs(code, { page_size: SHOWN }, visit.signal), all(code, "spaces", {}, visit.signal)]);
  const spaces = /** @type {Space[]} */ (/** @type {unknown} */ (rows));
  const view = jobList(visit, project, list);
  const none = h("p", { class: "empty" }, "Nothing has been asked for yet.");
  view.show(found);
  none.hidden = found.length > 0;
  const asked = async () => {
    view.show((await readJobs(code, { page_size: SHOWN }, visit.signal)).results);
    none.hidden = true;
    list.scrollIntoView({ block: "nearest" });
  };
  keepCurrent(visit, code, view, found).catch((error) => !isStop(error) && problem.show(error));
  return {
    title: "Outputs",
    project,
    here: "outputs",
    body: [purpose("What leaves the building, and what the program was asked to work out: ask for a paper, see how far each is and what came of it, download the files."), problem.place,
      asking(visit, project, spaces, asked),
      h("section", { "aria-labelledby": "asked" }, h("h2", { id: "asked" }, "Asked for"), none, list)],
  };
}

/** @param {Visit} visit @param {Project} project @param {HTMLElement} list */
function jobList(visit, project, list) {
  /** @type {Map<string, { element: HTMLElement, show: (job: Job) => void }>} */
  const known = new Map();
  return {
    /** @param {Job[]} jobs newest first */
    show(jobs) {
      for (const job of jobs) {
        if (!known.has(job.id)) known.set(job.id, item(visit, project, job));
        known.get(job.id)?.show(job);
      }
      const wanted = jobs.flatMap((job) => known.get(job.id)?.element ?? []);
      // Only new items are put in: moving those that are there would take the focus from their buttons.
      for (const [index, element] of wanted.entries()) if (list.children[index] !== element) list.insertBefore(element, list.children[index] ?? null);
    },
  };
}

/** @param {Visit} visit @param {Project} project @param {Job} first */
function item(visit, project, first) {
  const view = jobView(project.code, () => {}, !NEEDS_MANAGING.has(first.kind) || mayManage(project.role));
  const extra = h("p", { class: "extra" });
  let state = "";
  const show = (/** @type {Job} */ job) => {
    view.show(job);
    if (state === job.state) return;
    state = job.state;
    refill(extra, more(visit, project, job));
  };
  return { element: h("li", null, view.element, h("p", { class: "by" }, `${first.created_by}, `, time(first.created_at, ago(first.created_at, Date.now()), moment(first.created_at))), extra), show };
}

/** @param {Visit} visit @param {Project} project @param {Job} job */
function more(visit, project, job) {
  const here = path("projects", project.code, "import");
  if (job.kind === "check-import" && job.state === "done" && mayWrite(project.role)) return [link(withQuery(here, { check: job.id }), "Look at the report")];
  if (job.kind === "import" && !isOpen(job) && mayWrite(project.role)) return [link(withQuery(here, { import: job.id }), "Look at the result")];
  if (job.state !== "failed" && job.state !== "cancelled") return [];
  if (NEEDS_WRITING.has(job.kind) && !mayWrite(project.role)) return [];
  if (NEEDS_MANAGING.has(job.kind) && !mayManage(project.role)) return [];
  const problem = refusals();
  const retry = button("Try again", () => busy(retry, problem, async () => {
    await ask(project.code, job.kind, job.params);
    visit.reload();
  }), { class: "quiet" });
  return [retry, problem.place];
}

/** @param {Visit} visit @param {string} code @param {{ show: (jobs: Job[]) => void }} view @param {Job[]} found */
async function keepCurrent(visit, code, view, found) {
  let pause = waits.SHORTEST;
  let before = JSON.stringify(found);
  for (;;) {
    await wait(pause, visit.signal);
    if (document.hidden) continue;
    const { results } = await readJobs(code, { page_size: SHOWN }, visit.signal);
    view.show(results);
    const now = JSON.stringify(results);
    pause = waits.next(pause, results.some(isOpen) || now !== before);
    before = now;
  }
}
