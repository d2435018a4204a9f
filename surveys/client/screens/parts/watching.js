/** Following work that goes on elsewhere: jobs, and what others change. */

import { count } from "../../lib/words.js";
import * as waits from "../../lib/waits.js";
import { isOpen, now, state, title } from "../../model/jobs.js";
import { isStop, wait } from "../../api/http.js";
import { changes } from "../../api/records.js";
import { cancel, job as readJob } from "../../api/work.js";
import { size } from "../../lib/words.js";
import { button, h, refill, stateOf } from "./dom.js";
import { announce, busy, refusals, reportUnexpected } from "./say.js";

/** @typedef {import("../../model/types.js").Job} Job */
/** @typedef {import("./visit.js").Visit} Visit */

/**
 * A job's progress, kept current until it has ended.
 * @param {Visit} visit
 * @param {string} code
 * @param {Job} first
 * @param {(job: Job) => void} ended
 */
export function watch(visit, code, first, ended) {
  const place = h("div", { class: "job" });
  const view = jobView(code, () => {});
  refill(place, view.element);
  follow(visit.signal, code, first, (job) => view.show(job)).then(ended, (error) => {
    if (!isStop(error)) view.failed(error);
  });
  return place;
}

/**
 * Ask for a job's state until it has ended.
 * @param {AbortSignal} signal
 * @param {string} code
 * @param {Job} job
 * @param {(job: Job) => void} told
 * @returns {Promise<Job>}
 */
export async function follow(signal, code, job, told) {
  let pause = 0;
  told(job);
  while (isOpen(job)) {
    // Small jobs are done in less than a second: look soon, then once a second.
    pause = pause === 0 ? 250 : waits.SHORTEST;
    await wait(pause, signal);
    job = await readJob(code, job.id, signal);
    told(job);
  }
  return job;
}

/**
 * How one job looks: title, state by shape and word, bar, what now, a button to stop it, its files.
 * @param {string} code
 * @param {() => void} stopped
 * @param {boolean} [mayFetch] whether its files are for this person
 */
export function jobView(code, stopped, mayFetch = true) {
  const heading = h("strong");
  const mark = h("span");
  const bar = h("progress", { max: 100, "aria-label": "Progress" });
  const said = h("p", { class: "now" });
  const files = h("ul", { class: "files" });
  const problem = refusals();
  const stop = button("Stop", () => busy(stop, problem, async () => {
    if (current) show(await cancel(code, current.id));
    stopped();
  }), { class: "quiet" });
  /** @type {Job | null} */
  let current = null;
  let word = "";

  /** @param {Job} job */
  function show(job) {
    current = job;
    heading.textContent = title(job);
    refill(mark, stateOf(state(job)));
    said.textContent = now(job);
    bar.hidden = !isOpen(job);
    if (job.progress.total > 0) bar.value = (100 * job.progress.done) / job.progress.total;
    else bar.removeAttribute("value");
    stop.hidden = !isOpen(job) || job.cancel_asked;
    refill(files, job.state === "done" && mayFetch ? fileLinks(job) : []);
    // Only changes of state are read out: a percentage every second would drown everything else.
    if (word !== state(job).word) {
      word = state(job).word;
      announce(`${title(job)}: ${word}. ${isOpen(job) ? "" : now(job)}`);
    }
  }

  return {
    element: h("div", { class: "jobview" }, h("p", null, heading, " ", mark, " ", stop), bar, said, files, problem.place),
    show,
    /** @param {unknown} error */
    failed: (error) => problem.show(error),
  };
}

/** @param {Job} job */
export function fileLinks(job) {
  return job.files.map((file) => h("li", null, h("a", { href: file.url, download: file.name }, `Download ${file.name}`), ` (${size(file.size)})`));
}

/**
 * Looks now and then whether others have changed something that this screen shows, and offers to show it.
 * @param {Visit} visit
 * @param {string} code
 * @param {number | undefined} cursor
 * @param {readonly string[]} [types] only records of these types count
 */
export function freshness(visit, code, cursor, types) {
  const place = h("div", { class: "freshness", role: "status" });
  if (cursor !== undefined) keepFresh(visit, code, cursor, types, place).catch((error) => !isStop(error) && reportUnexpected(error));
  return place;
}

/**
 * @param {Visit} visit
 * @param {string} code
 * @param {number} cursor
 * @param {readonly string[] | undefined} types
 * @param {HTMLElement} place
 */
async function keepFresh(visit, code, cursor, types, place) {
  let many = 0;
  let pause = waits.SHORTEST * 5;
  for (;;) {
    await wait(pause, visit.signal);
    if (document.hidden) continue;
    const found = await changes(code, cursor, visit.signal);
    cursor = found.cursor;
    const fresh = found.changes.filter((one) => !types || types.includes(one.record_type));
    many += fresh.length;
    pause = fresh.length ? waits.SHORTEST * 5 : waits.next(pause, false);
    if (!fresh.length) continue;
    const by = [...new Set(fresh.map((one) => one.actor))].join(", ");
    refill(place, h("p", { class: "box" }, `${count(many, "change")} since this was shown, by ${by}. `, button("Show what is new", visit.reload)));
  }
}
