/** Where one is signed in: seen, and ended one by one. */

import { endOthers, endSession, sessions as readSessions } from "../../api/session.js";
import { ago, count, moment } from "../../lib/words.js";
import { lastUsed, where } from "../../model/sessions.js";
import { button, h, refill, time } from "../parts/dom.js";
import { entryForm } from "../parts/entry.js";
import { announce } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/sessions.js").Session} Session */
/** Asks for the password, and then does it. @typedef {(question: string, yes: string, deed: (password: string) => Promise<string>) => void} Ask */

const PASSWORD = { name: "password", label: "Your present password", type: "password", autocomplete: "current-password" };

/** @param {AbortSignal} signal */
export async function sessionsPart(signal) {
  const place = h("div");
  const asking = h("div");
  const heading = h("h2", { id: "sessions", tabindex: -1 }, "Where you are signed in");
  const close = () => {
    refill(asking);
    heading.focus();
  };
  /** @type {Ask} */
  const ask = (question, yes, deed) => {
    const form = entryForm([PASSWORD], yes, async (texts) => {
      const said = await deed(texts["password"] ?? "");
      await show();
      close();
      announce(said);
    });
    refill(asking, h("div", { class: "box" }, h("p", null, question), form, h("p", { class: "buttons" }, button("Leave it", close, { class: "quiet" }))));
    form.querySelector("input")?.focus();
  };
  const show = async () => refill(place, ...listed(await readSessions(signal), ask));
  await show();
  return h("section", { "aria-labelledby": "sessions" }, heading, place, asking);
}

/** @param {Session[]} sessions @param {Ask} ask */
function listed(sessions, ask) {
  const now = Date.now();
  const rows = sessions.map((one) => [
    where(one), one.network || "not known",
    one.began_at ? time(one.began_at, ago(one.began_at, now), moment(one.began_at)) : "not known",
    lastUsed(one, now),
    one.current ? "“Sign out” above" : button("End …", () => ask(`${where(one)}, signed in ${one.began_at ? moment(one.began_at) : ""}: whoever works there has to sign in again.`, "End it",
      (password) => endSession(one.id, password).then(() => "Ended.")), { class: "quiet" }),
  ]);
  const others = sessions.some((one) => !one.current) && h("p", { class: "buttons" }, button("End all others …",
    () => ask("Wherever else you are signed in, one has to sign in again. Scripts with tokens go on.", "End all others",
      async (password) => `${count((await endOthers(password)).ended, "session")} ended.`), { class: "quiet" }));
  return [table("Where you are signed in", ["Browser", "From", "Signed in", "Last used", "End"], rows), others];
}
