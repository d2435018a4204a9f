/** Me, and the tokens by which my scripts act as me. */

import { makeToken, revokeToken, tokens as readTokens } from "../api/session.js";
import { ago, moment } from "../lib/words.js";
import { h, refill, time } from "./parts/dom.js";
import { announce, askedButton, busy, purpose, refusals } from "./parts/say.js";
import { table } from "./parts/table.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Token} Token */

/** @type {import("./parts/visit.js").Screen} */
export async function meScreen(visit) {
  const list = h("div");
  const made = h("div");
  const problem = refusals();
  const show = async () => refill(list, tokenTable(await readTokens(visit.signal), problem, show));
  await show();
  return {
    title: visit.person?.name ?? "Me",
    body: [
      purpose("Your tokens: by one, a script of yours does what you may do, until you revoke it."),
      h("p", null, `You sign in as ${visit.person?.username}.`),
      h("section", { "aria-labelledby": "tokens" }, h("h2", { id: "tokens" }, "Tokens"), list, problem.place),
      h("section", { "aria-labelledby": "make" }, h("h2", { id: "make" }, "Make a token"), makeForm(made, show), made),
      h("p", null, "The interface is described at ", h("a", { href: "/api/v1/docs", target: "_blank", rel: "noopener" }, "its own page (in a new window)"), "."),
    ],
  };
}

/** @param {Token[]} tokens @param {ReturnType<typeof refusals>} problem @param {() => Promise<void>} show */
function tokenTable(tokens, problem, show) {
  const rows = tokens.map((one) => [
    one.label, time(one.created_at, ago(one.created_at, Date.now()), moment(one.created_at)),
    one.last_used_at ? time(one.last_used_at, ago(one.last_used_at, Date.now()), moment(one.last_used_at)) : "never",
    askedButton("Revoke", "Revoke it? Scripts that use it stop working.", "Revoke", (pressed) => busy(pressed, problem, async () => {
      await revokeToken(one.id);
      announce("Revoked.");
      await show();
    })),
  ]);
  return table("Tokens", ["What it is for", "Made", "Last used", "Revoke"], rows, { empty: "You have made none." });
}

/** @param {HTMLElement} place @param {() => Promise<void>} show */
function makeForm(place, show) {
  const problem = refusals();
  const label = h("input", { id: "label", autocomplete: "off", maxlength: 80 });
  const submit = h("button", { type: "submit", class: "main" }, "Make");
  return h("form", { class: "search", novalidate: true, onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(submit, problem, async () => {
      const token = await makeToken(label.value);
      label.value = "";
      const secret = h("input", { id: "secret", readonly: true, value: token.token ?? "", class: "secret", onfocus: () => secret.select() });
      refill(place, h("div", { class: "box", role: "status" }, h("p", null, `The token for “${token.label}”. Copy it now: it is shown this once only.`),
        h("label", { for: "secret" }, "Token"), secret));
      await show();
      secret.focus();
    });
  } }, h("div", { class: "field" }, h("label", { for: "label" }, "What it is for"), label), submit, problem.place);
}
