/** Leaving a project, or ending another's membership: what is still asked of who goes is named, and may go to others. And handing over. */

import { handOver, leave, leaving as readLeaving } from "../../api/people.js";
import { leftBehind } from "../../model/people.js";
import { mayReview, mayTalk } from "../../model/roles.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Member} Member */
/** @typedef {import("../../model/people.js").Leaving} Leaving */

/**
 * @typedef {object} Going
 * @property {Visit} visit
 * @property {string} code
 * @property {string | null} id the membership that ends; null for one's own
 * @property {readonly Member[]} others who may take over
 * @property {() => void} done
 */

/** One's own leaving. @param {Visit} visit @param {string} code @param {readonly Member[]} others */
export function leavingMyself(visit, code, others) {
  const place = h("div");
  const ask = button("Leave this project …", () => {
    refill(place, goingPanel({ visit, code, id: null, others, done: () => visit.go("/", { replace: true }) }));
    ask.setAttribute("aria-expanded", "true");
  }, { class: "quiet", "aria-expanded": "false" });
  return h("section", { "aria-labelledby": "leave" }, h("h2", { id: "leave" }, "Leave"),
    h("p", null, "What you wrote stays, with your name. You see nothing of the project any more, until somebody lets you in again."), h("p", { class: "buttons" }, ask), place);
}

/** @param {Going} going */
export function goingPanel(going) {
  const place = h("div", { class: "box", role: "group", "aria-label": "What is left behind", tabindex: -1 }, h("p", null, "Looking what is still asked …"));
  const problem = refusals();
  readLeaving(going.code, going.id, going.visit.signal).then((left) => {
    refill(place, content(going, left, problem));
    place.focus();
  }).catch((error) => {
    refill(place, problem.place);
    problem.show(error);
  });
  return place;
}

/** @param {Going} going @param {Leaving} left @param {ReturnType<typeof refusals>} problem */
function content(going, left, problem) {
  if (left.last_coordinator) return h("p", null, `${left.name} is the only coordinator, and a project needs one. Hand over to another member first.`);
  const told = leftBehind(left);
  const questions = left.questions.length > 0 ? heirOf("The questions go to", going.others.filter((one) => mayTalk(one.role))) : null;
  const reviews = left.reviews.length > 0 ? heirOf("The reviews go to", going.others.filter((one) => mayReview(one.role))) : null;
  const own = going.id === null;
  const go = askedButton(own ? "Leave" : `Remove ${left.name}`, own ? "Leave the project?" : `End the membership of ${left.name}?`, own ? "Leave" : "Remove", (pressed) => busy(pressed, problem, async () => {
    await leave(going.code, going.id, { ...(questions?.value ? { questions_to: questions.value } : {}), ...(reviews?.value ? { reviews_to: reviews.value } : {}) });
    announce(own ? "You have left." : `${left.name} was removed.`);
    going.done();
  }));
  return [
    h("p", null, told || `Nothing is asked of ${left.name} that would stay open.`),
    left.questions.length > 0 && h("ul", null, left.questions.map((one) => h("li", null, `Question ${one.number}: ${one.text}`))),
    questions?.element,
    left.reviews.length > 0 && h("ul", null, left.reviews.map((one) => h("li", null, `Review of interpretation ${one.number}`))),
    reviews?.element,
    problem.place, h("p", { class: "buttons" }, go),
  ];
}

/** @param {string} text @param {readonly Member[]} members */
function heirOf(text, members) {
  const id = newId("heir");
  const select = h("select", { id }, h("option", { value: "" }, "nobody: they stay as they are"), members.map((one) => h("option", { value: one.id }, one.name)));
  return { element: h("p", null, h("label", { for: id }, text), " ", select), get value() { return select.value; } };
}

/** For a coordinator: make another one, and step down. @param {Visit} visit @param {string} code @param {readonly Member[]} others @param {readonly string[]} roles */
export function handingOver(visit, code, others, roles) {
  const problem = refusals();
  const [toId, roleId] = [newId("to"), newId("role")];
  const to = h("select", { id: toId }, others.map((one) => h("option", { value: one.id }, `${one.name}, ${one.role}`)));
  const role = h("select", { id: roleId }, roles.filter((one) => one !== "coordinator").map((one) => h("option", { value: one, selected: one === "consultant" }, one)));
  const nameOf = () => others.find((one) => one.id === to.value)?.name ?? "";
  const go = askedButton("Hand over", "Hand over? You are coordinator no longer then, and your open invitations end.", "Hand over", (pressed) => busy(pressed, problem, async () => {
    const name = nameOf();
    await handOver(code, to.value, role.value);
    announce(`${name} is coordinator now.`);
    visit.reload();
  }));
  return h("section", { "aria-labelledby": "hand" }, h("h2", { id: "hand" }, "Hand over"),
    h("p", null, "Another member becomes coordinator in your place. To have two coordinators, change that member's role in the table instead."),
    others.length === 0 ? h("p", { class: "empty" }, "There is nobody else yet.") : [
      h("div", { class: "fields" }, h("div", { class: "field" }, h("label", { for: toId }, "Who becomes coordinator"), to), h("div", { class: "field" }, h("label", { for: roleId }, "What you are afterwards"), role)),
      problem.place, h("p", { class: "buttons" }, go)]);
}
