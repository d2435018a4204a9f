/** Where one is signed in: seen, and ended one by one. */

import { endOthers, endSession, sessions as readSessions } from "../../api/session.js";
import { ago, count, moment } from "../../lib/words.js";
import { lastUsed, where } from "../../model/sessions.js";
import { h, refill, time } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/sessions.js").Session} Session */

/** @param {AbortSignal} signal */
export async function sessionsPart(signal) {
  const place = h("div");
  const problem = refusals();
  /** @param {HTMLButtonElement} pressed @param {() => Promise<string>} deed */
  const end = (pressed, deed) => busy(pressed, problem, async () => {
    const said = await deed();
    await show();
    announce(said);
    heading.focus();
  });
  const heading = h("h2", { id: "sessions", tabindex: -1 }, "Where you are signed in");
  const show = async () => {
    const sessions = await readSessions(signal);
    refill(place, sessionTable(sessions, end), sessions.some((one) => !one.current) && h("p", { class: "buttons" },
      askedButton("End all others", "End them? Whoever works there has to sign in again. Scripts with tokens go on.", "End all others",
        (pressed) => end(pressed, async () => `${count((await endOthers()).ended, "session")} ended.`))));
  };
  await show();
  return h("section", { "aria-labelledby": "sessions" }, heading, place, problem.place);
}

/** @param {Session[]} sessions @param {(pressed: HTMLButtonElement, deed: () => Promise<string>) => void} end */
function sessionTable(sessions, end) {
  const now = Date.now();
  const rows = sessions.map((one) => [
    where(one), one.network || "not known",
    one.began_at ? time(one.began_at, ago(one.began_at, now), moment(one.began_at)) : "not known",
    lastUsed(one, now),
    one.current ? "“Sign out” above" : askedButton("End", "End it? Whoever works there has to sign in again.", "End",
      (pressed) => end(pressed, () => endSession(one.id).then(() => "Ended."))),
  ]);
  return table("Where you are signed in", ["Browser", "From", "Signed in", "Last used", "End"], rows);
}
