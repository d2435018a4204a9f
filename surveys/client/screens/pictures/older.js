/** A line that another version of the reading read: that it may be read again, and what becomes of what stands by hand. */

import { ask } from "../../api/work.js";
import { now } from "../../model/jobs.js";
import { Problem } from "../../model/problems.js";
import { button, h } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";
import { follow } from "../parts/watching.js";

/** @typedef {import("./cutting.js").Cutting} Cutting */

/** Null for one that was read by the present version. @param {Cutting} cutting */
export function olderPart(cutting) {
  const { line, work } = cutting;
  if (!line.read_by_older) return null;
  const problem = refusals();
  const said = h("span", { class: "now" });
  const again = button("Read it again", () => void busy(again, problem, async () => {
    await cutting.save();
    if (cutting.unsaved) throw new Problem(409, "unsaved", "The boundaries are not saved yet. Have the line read again once they are.");
    const job = await ask(work.code, "read-line", { traverse: line.id });
    const ended = await follow(work.visit.signal, work.code, job, (one) => { said.textContent = now(one); });
    said.textContent = "";
    if (ended.state !== "done") throw new Problem(409, "not-read", ended.error);
    announce(`Line ${line.number} is read again.`);
    const here = document.activeElement === again;
    await work.changed();
    // What was pressed is gone with what it was for.
    if (here) work.desk.viewers[0]?.frame.focus();
  }), { class: "quiet" });
  const hand = line.boundaries ? "Boundaries that were put by hand stay where they are, between what is read anew; where they do not fit it they are set aside, and shown beside it."
    : "Layers that were taken into the record stay as they are.";
  return h("section", { class: "box", "aria-label": "Read by another version" }, h("p", null, `Another version of the program read this line. The present one may find its layers otherwise. ${hand}`),
    work.writes && h("p", { class: "buttons" }, again, " ", said), problem.place);
}
