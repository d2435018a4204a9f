/** Coming by an invitation: what it offers, and accepting it as who one is or by an account that is made for it. */

import { accept, look } from "../api/people.js";
import { signOut } from "../api/session.js";
import { path } from "../lib/paths.js";
import { moment } from "../lib/words.js";
import { PASSWORD_HINT } from "../model/people.js";
import { Problem } from "../model/problems.js";
import { button, h, link } from "./parts/dom.js";
import { entryForm } from "./parts/entry.js";
import { busy, purpose, refusalBox, refusals } from "./parts/say.js";
import { dropSecret, takeSecret } from "./secret.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/people.js").Offer} Offer */

const KEPT = "invitation";
const WHAT_A_ROLE_MAY = { coordinator: "write, and set up the project and its members", consultant: "see everything and write", owner: "see everything, comment, ask and review",
  contractor: "see the schedules that are issued" };

/** @type {import("./parts/visit.js").Screen} */
export async function invitationScreen(visit) {
  const secret = takeSecret(KEPT);
  const offer = await offered(secret);
  if (!offer) {
    dropSecret(KEPT);
    return { title: "Invitation", body: [refusalBox("This invitation is not valid: it was used or withdrawn, is older than seven days, or the link is not whole. Ask whoever sent it for a new one."),
      h("p", null, link("/", "To your structures"))] };
  }
  return { title: `Invitation to ${offer.project}`, body: [
    purpose("Undercoat keeps the record of a building's paint, for everybody who studies it or looks after it."),
    h("p", null, h("strong", null, offer.invited_by), ` invites ${offer.name} to `, h("strong", null, offer.project), ` as ${offer.role} (${offer.discipline}): you may ${WHAT_A_ROLE_MAY[offer.role]}.`),
    h("p", { class: "hint" }, `The invitation holds until ${moment(offer.expires_at)}, and for one person.`),
    ...(visit.person ? asMyself(visit, secret, visit.person.name) : anew(visit, secret, offer)),
  ] };
}

/** @param {string} secret @returns {Promise<Offer | null>} */
async function offered(secret) {
  if (!secret) return null;
  try {
    return await look(secret);
  } catch (error) {
    if (error instanceof Problem && (error.status === 404 || error.status === 422)) return null;
    throw error;
  }
}

/** @param {Visit} visit @param {{ project: string }} accepted */
function come(visit, accepted) {
  dropSecret(KEPT);
  visit.go(path("projects", accepted.project), { replace: true });
}

/** @param {Visit} visit @param {string} secret @param {string} name */
function asMyself(visit, secret, name) {
  const problem = refusals();
  const yes = button(`Accept as ${name}`, () => busy(yes, problem, async () => come(visit, await accept(secret, {}))), { class: "main" });
  const other = button(`I am not ${name}`, () => busy(other, problem, async () => {
    await signOut();
    visit.reload();
  }), { class: "quiet" });
  return [problem.place, h("p", { class: "buttons" }, yes, other)];
}

/** @param {Visit} visit @param {string} secret @param {Offer} offer */
function anew(visit, secret, offer) {
  const form = entryForm([
    { name: "name", label: "Your name", type: "text", autocomplete: "name", value: offer.name, hint: "As the others are to read it beside what you write." },
    { name: "username", label: "Name to sign in with", type: "text", autocomplete: "username", hint: "Letters, digits and @ . + - _; without blanks." },
    { name: "email", label: "E-mail address", type: "email", autocomplete: "email", value: offer.email, optional: true, hint: "Only by it can you get back in if you forget your password." },
    { name: "password", label: "Password", type: "password", autocomplete: "new-password", hint: PASSWORD_HINT },
  ], "Make the account and accept", async (texts) => come(visit, await accept(secret, texts)));
  return [
    h("section", { "aria-labelledby": "known" }, h("h2", { id: "known" }, "You sign in here already"), h("p", null, link("/sign-in?next=/invitation", "Sign in and accept"))),
    h("section", { "aria-labelledby": "new" }, h("h2", { id: "new" }, "You are new here"), form),
  ];
}
