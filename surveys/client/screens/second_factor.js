/** The second factor: set up with a telephone, recovery codes, turned off. */

import { makeKey, newCodes, secondFactor, turnOff, turnOn } from "../api/second_factor.js";
import { within } from "../lib/paths.js";
import { count, moment } from "../lib/words.js";
import { grouped } from "../model/signing.js";
import { button, h, link, refill } from "./parts/dom.js";
import { entryForm } from "./parts/entry.js";
import { purpose } from "./parts/say.js";

/** @typedef {import("./parts/visit.js").Visit} Visit */
/** @typedef {import("../model/sessions.js").SecondFactor} SecondFactor */
/** @typedef {import("../model/sessions.js").SecondFactorKey} SecondFactorKey */

const PASSWORD = { name: "password", label: "Your present password", type: "password", autocomplete: "current-password" };
const CODE = { name: "code", label: "Code", type: "text", autocomplete: "one-time-code", hint: "The six digits that your telephone shows now, or a recovery code." };

/** @type {import("./parts/visit.js").Screen} */
export async function secondFactorScreen(visit) {
  const state = await secondFactor(visit.signal);
  const place = h("div");
  refill(place, ...(state.on ? whatIsOn(state, visit, place) : setUp(state, visit, place)));
  return { title: "Second factor", body: [
    purpose("With a second factor, who has found out your password still cannot sign in: it takes a code of your telephone too."),
    place, !(state.required && !state.on) && h("p", null, link("/me", "Back to your account")),
  ] };
}

/** @param {SecondFactor} state @param {Visit} visit @param {HTMLElement} place */
function setUp(state, visit, place) {
  return [
    state.required ? h("p", { class: "box", role: "status" }, "Here everybody needs a second factor to sign in. Set yours up before you go on; scripts with tokens work meanwhile.")
      : h("p", null, "You have none: your name and password are enough to sign in as you."),
    h("p", null, "You need a program for one-time codes on your telephone (any that knows “TOTP”, RFC 6238)."),
    entryForm([PASSWORD], "Make a key", async (texts) => {
      const key = await makeKey(texts["password"] ?? "");
      refill(place, ...confirming(key, visit, place));
      place.querySelector("h2")?.focus();
    }),
  ];
}

/** @param {SecondFactorKey} key @param {Visit} visit @param {HTMLElement} place */
function confirming(key, visit, place) {
  const text = h("input", { id: "key", class: "secret", readonly: true, value: grouped(key.key), onfocus: () => text.select() });
  return [
    h("h2", { tabindex: -1 }, "Give the key to your telephone"),
    h("p", null, "Let the program on your telephone photograph this, or type the key in. It is shown this once."),
    h("p", null, h("img", { src: `data:image/svg+xml,${encodeURIComponent(key.picture)}`, class: "code", alt: "The key, as a picture for the camera of your telephone" })),
    h("p", { class: "field" }, h("label", { for: "key" }, "Key"), text),
    entryForm([{ ...CODE, label: "Code that your telephone shows", hint: "Six digits. They change every half minute." }], "Turn it on", async (texts) => {
      const { recovery_codes } = await turnOn(texts["code"] ?? "");
      refill(place, ...kept("Your second factor is on. Wherever else you were signed in, you are signed out.", recovery_codes, visit));
      place.querySelector("textarea")?.focus();
    }),
  ];
}

/** @param {string} said @param {string[]} codes @param {Visit} visit */
function kept(said, codes, visit) {
  const text = h("textarea", { id: "codes", class: "secret", readonly: true, rows: codes.length, onfocus: () => text.select() }, codes.join("\n"));
  return [
    h("div", { class: "box", role: "status" }, h("p", null, said),
      h("p", null, "Each of these recovery codes lets you in once when your telephone is not at hand. They are shown this once only: write them down and keep them away from the telephone.")),
    h("div", { class: "field" }, h("label", { for: "codes" }, "Recovery codes"), text),
    h("p", { class: "buttons" }, button("I have kept them", () => visit.go(visit.query.get("next") ? within(visit.query.get("next")) : "/me", { replace: true }), { class: "main" })),
  ];
}

/** @param {SecondFactor} state @param {Visit} visit @param {HTMLElement} place */
function whatIsOn(state, visit, place) {
  const since = state.since ? ` since ${moment(state.since)}` : "";
  const fresh = entryForm([PASSWORD, CODE], "Make new recovery codes", async (texts) => {
    const { recovery_codes } = await newCodes(texts["password"] ?? "", texts["code"] ?? "");
    refill(place, ...kept("These are your recovery codes now; those from before work no longer.", recovery_codes, visit));
    place.querySelector("textarea")?.focus();
  });
  const off = entryForm([PASSWORD, CODE], "Turn it off", async (texts) => {
    await turnOff(texts["password"] ?? "", texts["code"] ?? "");
    visit.reload();
  });
  return [
    h("p", null, `It is on${since}. You have ${count(state.recovery_codes, "recovery code")} left.`),
    h("details", null, h("summary", null, "Make new recovery codes"), h("p", null, "Those that you have now work no longer then."), fresh),
    h("details", null, h("summary", null, "Turn it off"),
      h("p", null, "For another telephone, turn it off and set it up again. Wherever else you are signed in, you are signed out."), off),
  ];
}
