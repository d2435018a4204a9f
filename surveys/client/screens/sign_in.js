/** Signing in, with a code from who has a second factor, and coming back to where one was. */

import { signIn } from "../api/session.js";
import { within } from "../lib/paths.js";
import { Problem } from "../model/problems.js";
import { missing } from "../model/signing.js";
import { h, link } from "./parts/dom.js";
import { busy, purpose, refusals } from "./parts/say.js";

/** @type {import("./parts/visit.js").Screen} */
export async function signInScreen(visit) {
  const next = within(visit.query.get("next"));
  const name = h("input", { id: "username", name: "username", autocomplete: "username", required: true, autocapitalize: "none", spellcheck: "false" });
  const password = h("input", { id: "password", name: "password", type: "password", autocomplete: "current-password", required: true });
  const code = h("input", { id: "code", name: "code", autocomplete: "one-time-code", autocapitalize: "none", spellcheck: "false", "aria-describedby": "code-hint" });
  const asked = h("div", { class: "field", hidden: true }, h("label", { for: "code" }, "Code"), code,
    h("span", { class: "hint", id: "code-hint" }, "The six digits that your telephone shows now, or a recovery code."));
  const submit = h("button", { type: "submit", class: "main" }, "Sign in");
  const problem = refusals();
  const form = h("form", { class: "narrow", novalidate: true, onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    busy(submit, problem, async () => {
      const wanting = missing(name.value, password.value);
      if (wanting) throw new Problem(422, "required", wanting);
      try {
        await signIn(name.value.trim(), password.value, code.value.trim());
        visit.go(next, { replace: true });
      } catch (error) {
        // That a code is asked for is no refusal, the first time.
        if (!(error instanceof Problem) || error.code !== "code-needed" || !asked.hidden) throw error;
        asked.hidden = false;
        code.focus();
      }
    }).then(() => problem.place.hasChildNodes() && (asked.hidden ? (name.value.trim() ? password : name) : code).focus());
  } },
    h("div", { class: "field" }, h("label", { for: "username" }, "Name"), name),
    h("div", { class: "field" }, h("label", { for: "password" }, "Password"), password),
    asked,
    problem.place,
    h("p", { class: "buttons" }, submit),
    h("p", null, link("/forgotten", "Forgotten your password?")));
  const ended = visit.query.get("ended") ? h("p", { class: "box", role: "status" }, "Your session has ended. Sign in, and you come back to where you were.") : null;
  const changed = visit.query.get("changed") ? h("p", { class: "box", role: "status" }, "Your password is changed. Sign in with the new one.") : null;
  return {
    title: "Sign in",
    body: [purpose("Undercoat keeps the record of a building's paint, for everybody who studies it. Sign in with the name that you were given."), ended, changed, form],
  };
}
