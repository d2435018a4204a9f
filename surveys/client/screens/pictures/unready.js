/** A picture that cannot be shown, in words: why, what stays, and what one can do. */

import { ask } from "../../api/work.js";
import { now } from "../../model/jobs.js";
import { h } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";
import { follow } from "../parts/watching.js";

/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */

/** @typedef {{ code: string, signal: AbortSignal, writes: boolean, changed: () => void }} Told */

/** Null for one that is ready. @param {Told} told @param {Attachment} one */
export function unready(told, one) {
  if (one.prepared === "ready") return null;
  const trouble = one.troubles.find((each) => each.kind === "picture");
  if (one.prepared === "waiting" && !trouble) return h("p", { class: "hint", role: "status" }, "It is being looked into, and is shown when that is done. This may be left.");
  if (trouble) return h("div", { class: "unready" }, h("p", { class: "reason" }, trouble.sentence), once(told, one, "picture", "Look into it again"));
  return h("div", { class: "unready" }, h("p", { class: "reason" }, h("strong", null, "It cannot be shown. "), one.refusal),
    h("p", { class: "hint" }, "The file is kept as it came and can be downloaded. What helps most often: save it anew as TIFF (8 or 16 bits), PNG or JPEG, add that, and remove this one."),
    once(told, one, "picture", "Look into it again"));
}

/** Why its colours are not measured although a target is marked; null where that is under way or done. @param {Told} told @param {Attachment} one */
export function unmeasured(told, one) {
  const trouble = one.troubles.find((each) => each.kind === "picture-colour");
  return trouble ? h("div", { class: "unready" }, h("p", { class: "reason" }, trouble.sentence), once(told, one, "picture-colour", "Measure the target again")) : null;
}

/** What should have been made is asked for once more. @param {Told} told @param {Attachment} one @param {string} kind @param {string} text */
function once({ code, signal, writes, changed }, one, kind, text) {
  if (!writes) return null;
  const problem = refusals();
  const said = h("span", { class: "now" });
  const again = h("button", { type: "button", class: "quiet" }, text);
  again.addEventListener("click", () => busy(again, problem, async () => {
    const job = await ask(code, kind, { attachment: one.id });
    const ended = await follow(signal, code, job, (each) => { said.textContent = now(each); });
    said.textContent = ended.state === "done" ? "Done." : ended.error;
    announce(said.textContent);
    changed();
  }));
  return h("div", null, h("p", { class: "buttons" }, again, " ", said), problem.place);
}
