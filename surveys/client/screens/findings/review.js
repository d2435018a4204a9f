/** Moving an interpretation from state to state, and asking others to review it. */

import { askReview, looked, move } from "../../api/findings.js";
import { moveWord } from "../../model/findings.js";
import { Problem } from "../../model/problems.js";
import { button, h, newId } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/findings.js").Interpretation} Interpretation */
/** @typedef {import("../../model/findings.js").Review} Review */

/** @param {Visit} visit @param {string} code @param {Interpretation} one @param {Review} review */
export function moves(visit, code, one, review) {
  if (review.moves.length === 0) return null;
  const id = newId("reason");
  const problem = refusals();
  const needed = review.moves.filter((step) => step.reason_needed).map((step) => moveWord(one.state, step.to));
  const reason = h("textarea", { id, rows: 2, maxlength: 2_000, "aria-describedby": `${id}-hint`, oninput: () => visit.unsaved(reason.value.trim() !== "") });
  const buttons = review.moves.map((step) => {
    const made = button(moveWord(one.state, step.to), () => busy(made, problem, async () => {
      try {
        await move(code, one, step.to, reason.value);
      } catch (error) {
        throw told(error, reason);
      }
      visit.unsaved(false);
      announce(`It is ${step.to} now.`);
      visit.reload();
    }), { class: step.to === "agreed" || step.to === "for comment" ? "main" : null });
    return made;
  });
  return h("section", { class: "box moves", "aria-label": "Your word on it" },
    h("label", { for: id }, "Reason or remark"), reason,
    h("span", { class: "hint", id: `${id}-hint` }, needed.length ? `Needed for: ${needed.join(", ")}.` : "Not needed."),
    h("p", { class: "buttons" }, buttons), problem.place);
}

/** Somebody else was first: what it is now is said, and how to see it. @param {unknown} error @param {HTMLTextAreaElement} reason */
function told(error, reason) {
  if (!(error instanceof Problem)) return error;
  if (error.status === 412 && error.current) {
    const by = error.current.state_by ? ` by ${error.current.state_by}` : "";
    return new Problem(412, "stale", `Somebody was quicker: it was changed meanwhile and is now '${error.current.state}'${by}. Reload the page to see it as it is; your reason stays in the box until then.`);
  }
  if (error.places.some((place) => place.pointer === "/reason")) {
    reason.setAttribute("aria-invalid", "true");
    reason.focus();
  }
  return error;
}

/** @param {Visit} visit @param {string} code @param {Interpretation} one @param {Review} review @param {import("../../model/types.js").Row[]} members */
export function reviewers(visit, code, one, review, members) {
  const asked = new Map(review.reviews.map((request) => [request.username, request]));
  const mine = asked.get(visit.person?.username ?? "");
  const problem = refusals();
  if (review.reviews.length === 0 && !review.may_ask) return null;
  const list = h("ul", null, review.reviews.map((request) => h("li", null, `${request.name}, asked by ${request.asked_by}: `, request.answered_at ? "● has looked" : "○ has not answered")));
  const answer = button("I have looked", () => busy(answer, problem, async () => {
    await looked(code, one.id);
    announce("Said.");
    visit.reload();
  }));
  return h("section", { "aria-labelledby": "reviews", class: "reviewing" }, h("h2", { id: "reviews" }, "Asked to review"),
    review.reviews.length ? list : h("p", { class: "empty" }, "Nobody was asked by name."),
    mine && !mine.answered_at && h("p", { class: "buttons" }, h("span", null, "You were asked. Agree or dispute above, or say that you have looked:"), answer),
    review.may_ask && asking(visit, code, one, members.filter((member) => member["role"] !== "contractor" && member["username"] !== one.author && !open(asked, member)), problem),
    problem.place);
}

/** @param {Map<string, Review["reviews"][number]>} asked @param {import("../../model/types.js").Row} member */
function open(asked, member) {
  const request = asked.get(String(member["username"]));
  return request !== undefined && request.answered_at === null;
}

/** @param {Visit} visit @param {string} code @param {Interpretation} one @param {import("../../model/types.js").Row[]} people @param {ReturnType<typeof refusals>} problem */
function asking(visit, code, one, people, problem) {
  if (people.length === 0) return null;
  const form = h("form", { onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    const chosen = [...new FormData(form).getAll("people")].map(String);
    if (chosen.length === 0) {
      problem.show(new Problem(422, "required", "Choose whom to ask."));
      return;
    }
    busy(send, problem, async () => {
      await askReview(code, one.id, chosen);
      announce("Asked.");
      visit.reload();
    });
  } });
  const send = h("button", { type: "submit" }, "Ask for review");
  form.append(h("fieldset", null, h("legend", null, "Ask"), people.map((member) => {
    const id = newId("person");
    return h("span", { class: "person" }, h("input", { type: "checkbox", id, name: "people", value: String(member["username"]) }), " ", h("label", { for: id }, `${member["name"]}, ${member["discipline"]}`));
  })), h("p", { class: "buttons" }, send));
  return form;
}
