/** What is said about an issue, by all to whom it went out. */

import { remark, remarks } from "../../api/schedules.js";
import { ago, moment } from "../../lib/words.js";
import { button, h, newId, refill, time } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";

/** @typedef {import("../../model/schedules.js").Remark} Remark */

/** @param {string} code @param {string} issue @param {AbortSignal} signal */
export async function remarksOf(code, issue, signal) {
  const [id, inputId] = [newId("remarks"), newId("remark")];
  const list = h("ol", { class: "threads" });
  const none = h("p", { class: "empty" }, "Nobody has said anything about it yet.");
  const problem = refusals();
  const text = h("textarea", { id: inputId, rows: 3, required: true });
  const send = h("button", { type: "submit", class: "main" }, "Comment");
  /** @type {Remark | null} */
  let answered = null;
  const label = h("label", { for: inputId });
  const cancel = button("Not an answer", () => answer(null), { class: "quiet", hidden: true });

  /** @param {Remark | null} to */
  function answer(to) {
    answered = to;
    label.textContent = to ? `Answer to ${to.created_by}` : "New comment";
    cancel.hidden = to === null;
    if (to) text.focus();
  }

  async function show() {
    const told = await remarks(code, issue, signal);
    none.hidden = told.length > 0;
    refill(list, told.map((one) => h("li", { class: one.thread ? "answer" : null },
      h("p", { class: "by" }, h("strong", null, one.created_by), ", ", time(one.created_at, ago(one.created_at, Date.now()), moment(one.created_at)), one.resolved ? ", resolved" : ""),
      h("p", { class: "summary" }, one.text),
      one.thread === null && button("Answer", () => answer(one), { class: "quiet", "aria-label": `Answer ${one.created_by}` }))));
  }

  answer(null);
  await show();
  return h("section", { "aria-labelledby": id }, h("h2", { id }, "Comments"), none, list, h("form", { class: "record", onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(send, problem, async () => {
      await remark(code, issue, text.value, answered?.id);
      text.value = "";
      answer(null);
      await show();
      announce("Your comment stands.");
    });
  } }, h("div", { class: "field wide" }, label, text), problem.place, h("p", { class: "buttons" }, send, cancel)));
}
