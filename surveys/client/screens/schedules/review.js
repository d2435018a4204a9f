/** The review of a schedule before it goes out: its state, why, and moving it. */

import { move } from "../../api/schedules.js";
import { capital } from "../../lib/words.js";
import { h, newId, refill, button, stateOf } from "../parts/dom.js";
import { busy, refusals } from "../parts/say.js";

/** @typedef {import("../../model/schedules.js").Schedule} Schedule */

const MARKS = /** @type {Record<string, string>} */ ({ working: "○", "for comment": "◔", agreed: "●", disputed: "✕", superseded: "▢" });
/** Where the table of states leads from each; whose word it takes, the service says. */
const WAYS = /** @type {Record<string, string[]>} */ ({
  working: ["for comment"], "for comment": ["agreed", "disputed", "working"], agreed: ["disputed", "for comment"], disputed: ["agreed", "for comment"],
});

/** @param {import("../parts/visit.js").Visit} visit @param {string} code @param {Schedule} schedule @param {boolean} mayReview */
export function review(visit, code, schedule, mayReview) {
  const place = h("span");
  const state = h("p", { class: "buttons" }, "Review: ", stateOf({ mark: MARKS[schedule.state] ?? "○", word: schedule.state }),
    schedule.state_reason && h("span", { class: "reason" }, schedule.state_reason), place);
  const ways = WAYS[schedule.state] ?? [];
  if (!mayReview || ways.length === 0) return state;
  const form = h("div");
  refill(place, button("Move …", () => {
    const [toId, whyId] = [newId("to"), newId("why")];
    const to = h("select", { id: toId }, ways.map((one) => h("option", { value: one }, capital(one))));
    const why = h("textarea", { id: whyId, rows: 2 });
    const problem = refusals();
    const send = h("button", { type: "submit", class: "main" }, "Move");
    refill(form, h("form", { class: "record box", "aria-label": "Review", onsubmit: (/** @type {SubmitEvent} */ event) => {
      event.preventDefault();
      busy(send, problem, async () => {
        await move(code, schedule, to.value, why.value);
        visit.reload();
      });
    } }, h("div", { class: "fields" }, h("div", { class: "field" }, h("label", { for: toId }, "To"), to), h("div", { class: "field wide" }, h("label", { for: whyId }, "Reason"), why)),
    problem.place, h("p", { class: "buttons" }, send, button("Cancel", () => refill(form), { class: "quiet" }))));
    to.focus();
  }, { class: "quiet" }));
  return h("div", null, state, form);
}
