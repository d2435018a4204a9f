/** Me: my password and second factor, my e-mail address, where I am signed in, and the tokens by which my scripts act as me. */

import { changeEmail, changePassword, wishDigest } from "../api/people.js";
import { secondFactor } from "../api/second_factor.js";
import { makeToken, revokeToken, tokens as readTokens, whoAmI } from "../api/session.js";
import { ago, count, moment } from "../lib/words.js";
import { PASSWORD_HINT } from "../model/people.js";
import { sessionsPart } from "./me/sessions.js";
import { h, link, refill, time } from "./parts/dom.js";
import { entryForm } from "./parts/entry.js";
import { announce, askedButton, busy, purpose, refusals } from "./parts/say.js";
import { table } from "./parts/table.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/types.js").Person} Person */
/** @typedef {import("../model/types.js").Token} Token */

/** @type {import("./parts/visit.js").Screen} */
export async function meScreen(visit) {
  const list = h("div");
  const made = h("div");
  const problem = refusals();
  const [person, factor, sessions] = await Promise.all([whoAmI(visit.signal), secondFactor(visit.signal), sessionsPart(visit.signal)]);
  const show = async () => refill(list, tokenTable(await readTokens(visit.signal), problem, show));
  await show();
  return {
    title: person.name,
    body: [
      purpose("Your account, where you are signed in, and your tokens: by one, a script of yours does what you may do, until you revoke it."),
      h("p", null, `You sign in as ${person.username}.`),
      letters(person),
      passwordPart(),
      factorPart(factor),
      sessions,
      h("section", { "aria-labelledby": "tokens" }, h("h2", { id: "tokens" }, "Tokens"), list, problem.place),
      h("section", { "aria-labelledby": "make" }, h("h2", { id: "make" }, "Make a token"), makeForm(made, show), made),
      h("p", null, "The interface is described at ", h("a", { href: "/api/v1/docs", target: "_blank", rel: "noopener" }, "its own page (in a new window)"), "."),
    ],
  };
}

/** @param {Person} person */
function letters(person) {
  const said = h("p", { role: "status" });
  const problem = refusals();
  const address = h("p", null, addressWords(person.email));
  const daily = h("input", { type: "checkbox", id: "daily", checked: person.daily_digest, onchange: async () => {
    problem.clear();
    try {
      await wishDigest(daily.checked);
      said.textContent = daily.checked ? "Saved: what is new comes once a day." : "Saved: no daily letter.";
    } catch (error) {
      daily.checked = !daily.checked;
      problem.show(error);
    }
  } });
  const form = entryForm([
    { name: "email", label: "New e-mail address", type: "email", autocomplete: "email", value: person.email, optional: true, hint: "Leave it blank to have none." },
    { name: "password", label: "Your present password", type: "password", autocomplete: "current-password" },
  ], "Save the address", async (texts, element) => {
    const now = await changeEmail(texts["password"] ?? "", (texts["email"] ?? "").trim());
    address.textContent = addressWords(now.email);
    const field = element.elements.namedItem("password");
    if (field instanceof HTMLInputElement) field.value = "";
    said.textContent = "Your address is saved.";
  });
  return h("section", { "aria-labelledby": "letters" }, h("h2", { id: "letters" }, "Letters"), address,
    h("p", null, daily, " ", h("label", { for: "daily" }, "Send me what is new, once a day")), said, problem.place,
    h("details", null, h("summary", null, "Change the address"), form));
}

/** @param {string} email */
function addressWords(email) {
  return email ? `Letters go to ${email}.` : "You have no e-mail address here, so no letter reaches you, and a forgotten password can only be mended by whoever runs the program.";
}

function passwordPart() {
  const said = h("p", { role: "status" });
  const form = entryForm([
    { name: "password", label: "Your present password", type: "password", autocomplete: "current-password" },
    { name: "new_password", label: "New password", type: "password", autocomplete: "new-password", hint: PASSWORD_HINT },
  ], "Change the password", async (texts, element) => {
    await changePassword(texts["password"] ?? "", texts["new_password"] ?? "");
    element.reset();
    said.textContent = "Your password is changed. Wherever else you were signed in, you are signed out; your tokens go on working.";
  });
  return h("section", { "aria-labelledby": "password" }, h("h2", { id: "password" }, "Password"),
    h("details", null, h("summary", null, "Change the password"), form), said);
}

/** @param {import("../model/sessions.js").SecondFactor} factor */
function factorPart(factor) {
  const told = factor.on ? `On: signing in takes a code of your telephone. ${count(factor.recovery_codes, "recovery code")} left.` : "Off: your name and password are enough to sign in as you.";
  return h("section", { "aria-labelledby": "factor" }, h("h2", { id: "factor" }, "Second factor"),
    h("p", null, told, " ", link("/second-factor", factor.on ? "Recovery codes, turning it off" : "Set it up")));
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
