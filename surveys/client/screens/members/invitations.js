/** Inviting, and what became of invitations; for coordinators. */

import { invitations as readInvitations, invite, revoke } from "../../api/people.js";
import { ago, moment } from "../../lib/words.js";
import { STATES } from "../../model/people.js";
import { h, refill, stateOf, time } from "../parts/dom.js";
import { recordForm } from "../parts/form.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/people.js").Invitation} Invitation */

/** @param {Visit} visit @param {string} code @param {Record<string, string[]>} words */
export function inviting(visit, code, words) {
  const [made, list, formPlace] = [h("div"), h("div"), h("div")];
  const problem = refusals();
  const show = async () => refill(list, listed(code, await readInvitations(code, visit.signal), problem, show));
  const renew = () => refill(formPlace, form(visit, code, words, (answer) => {
    refill(made, linkBox(answer));
    renew();
    made.querySelector("input")?.focus();
    show().catch(problem.show);
  }));
  renew();
  show().catch(problem.show);
  return h("section", { "aria-labelledby": "invite" }, h("h2", { id: "invite" }, "Invite somebody"),
    h("p", null, "By a link that works once, for seven days. Who has no account yet makes one by it."), formPlace, made, problem.place, list);
}

/** @param {Visit} visit @param {string} code @param {Record<string, string[]>} words @param {(made: Invitation & { link: string, mailed: boolean }) => void} done */
function form(visit, code, words, done) {
  return recordForm({
    fields: [
      { name: "name", label: "Name", required: true, hint: "Of the person, as you call him or her." },
      { name: "email", label: "E-mail address", hint: "If you give one, the link is sent to it. Only coordinators see it." },
      { name: "role", label: "Role", type: "word", words: "roles", required: true },
      { name: "discipline", label: "Discipline", type: "word", words: "disciplines", required: true },
    ],
    row: null, words, resolve: async () => null, button: "Invite",
    save: (values) => invite(code, values),
    saved: (answer) => done(/** @type {Invitation & { link: string, mailed: boolean }} */ (/** @type {unknown} */ (answer))),
    unsaved: visit.unsaved,
  });
}

/** @param {Invitation & { link: string, mailed: boolean }} made */
function linkBox(made) {
  const sent = made.mailed ? `It was sent to ${made.email}.` : made.email ? `It could not be sent to ${made.email}: hand it over yourself.` : "Hand it over yourself.";
  const secret = h("input", { id: "invitation-link", readonly: true, value: made.link, class: "secret", onfocus: () => secret.select() });
  return h("div", { class: "box", role: "status" },
    h("p", null, `The link for ${made.name}. ${sent} It is shown this once only, and whoever has it can use it.`),
    h("label", { for: "invitation-link" }, "Link"), " ", secret);
}

/** @param {string} code @param {Invitation[]} all @param {ReturnType<typeof refusals>} problem @param {() => Promise<void>} show */
function listed(code, all, problem, show) {
  const open = all.filter((one) => one.state === "open");
  const past = all.filter((one) => one.state !== "open");
  const heads = ["Who", "As", "Made", "State"];
  return [
    open.length > 0 && table("Open invitations", [...heads, "Withdraw"], open.map((one) => [...cells(one), askedButton("Withdraw", `Withdraw the invitation of ${one.name}?`, "Withdraw", (pressed) => busy(pressed, problem, async () => {
      await revoke(code, one);
      announce("Withdrawn: the link is dead.");
      await show();
    }))]), { showCaption: true }),
    past.length > 0 && h("details", null, h("summary", null, `Former invitations (${past.length})`), table("Former invitations", heads, past.map(cells))),
  ];
}

/** @param {Invitation} one */
function cells(one) {
  const until = one.state === "open" ? ` until ${moment(one.expires_at)}` : one.state === "accepted" ? ` by ${one.accepted_by}` : "";
  return [
    h("span", null, one.name, one.email && h("span", { class: "code" }, ` ${one.email}`)), `${one.role}, ${one.discipline}`,
    h("span", null, time(one.created_at, ago(one.created_at, Date.now()), moment(one.created_at)), ` by ${one.created_by}`),
    h("span", null, stateOf(STATES[one.state]), until),
  ];
}
