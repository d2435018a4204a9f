/** A forgotten password: asking for a link, and taking a new one by it. */

import { askReset, useReset } from "../api/people.js";
import { PASSWORD_HINT } from "../model/people.js";
import { h, link, refill } from "./parts/dom.js";
import { entryForm } from "./parts/entry.js";
import { purpose, refusalBox } from "./parts/say.js";
import { dropSecret, takeSecret } from "./secret.js";

const KEPT = "new password";

/** @type {import("./parts/visit.js").Screen} */
export async function forgottenScreen() {
  const place = h("div");
  const form = entryForm([{ name: "email", label: "E-mail address", type: "email", autocomplete: "email" }], "Send me a link", async (texts) => {
    const { detail } = await askReset((texts["email"] ?? "").trim());
    refill(place, h("p", { class: "box", role: "status" }, detail));
  });
  return { title: "Forgotten password", body: [
    purpose("A link by which you choose a new password goes to the e-mail address of your account."),
    form, place,
    h("p", null, "Has your account no address, or does no letter come? Whoever runs the program can give you a link."),
    h("p", null, link("/sign-in", "Back to signing in")),
  ] };
}

/** @type {import("./parts/visit.js").Screen} */
export async function newPasswordScreen(visit) {
  const secret = takeSecret(KEPT);
  if (!secret) return { title: "New password", body: [refusalBox("This link is not whole. Open it again from the letter, or ask for another."), h("p", null, link("/forgotten", "Ask for another link"))] };
  const form = entryForm([{ name: "password", label: "New password", type: "password", autocomplete: "new-password", hint: PASSWORD_HINT }], "Take this password", async (texts) => {
    await useReset(secret, texts["password"] ?? "");
    dropSecret(KEPT);
    visit.go("/sign-in?changed=1", { replace: true });
  });
  return { title: "New password", body: [
    purpose("All your sessions end with it, and your tokens are revoked: whoever had your account meanwhile has it no longer."),
    form, h("p", null, link("/forgotten", "Ask for another link")),
  ] };
}
