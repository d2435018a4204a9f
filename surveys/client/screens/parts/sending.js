/** A file on its way, as one sees it: how far it is, pausing it, going on, giving it up. */

import { waysOf } from "../../api/sending.js";
import { Problem } from "../../model/problems.js";
import { Sending, told } from "../../model/pictures/sending.js";
import { button, h, refill } from "./dom.js";
import { announce, refusalBox } from "./say.js";

/** @typedef {import("../../model/pictures/types.js").SendingRow} SendingRow */

/**
 * @param {Sending} sending
 * @param {{ goOn: () => void, gaveUp: () => void, done?: () => string }} host done: what is said once it is whole, if more than that
 */
export function sendingBar(sending, { goOn, gaveUp, done }) {
  const { file: { name } } = sending;
  const bar = h("progress", { max: 100, "aria-label": `Sending ${name}` });
  const said = h("div");
  const stopped = () => sending.state === "paused" || sending.state === "refused";
  const pause = button("Pause", () => (stopped() ? goOn() : sending.pause()), { class: "quiet" });
  const end = button("Give up", () => void sending.giveUp().then(gaveUp), { class: "quiet" });
  let state = "";

  function show() {
    bar.value = Math.round(100 * sending.share);
    bar.hidden = sending.state === "done";
    if (sending.state === "refused") refill(said, refusalBox(told(sending)));
    else refill(said, h("p", { class: "now" }, (sending.state === "done" && done?.()) || told(sending)));
    refill(pause, stopped() ? "Go on" : "Pause");
    pause.hidden = !["reads", "sends", "lost", "paused", "refused"].includes(sending.state);
    end.hidden = !sending.isOpen;
    if (state === sending.state) return;
    state = sending.state;
    if (state === "paused" || state === "lost") announce(`${name}: ${told(sending)}`);
  }

  return { element: h("div", null, bar, said, h("p", { class: "buttons" }, pause, end)), show };
}

/**
 * Send one file part by part, shown in a place; what it is once it is whole, or null if it was given up or the page was left.
 * @param {{ code: string, username: string, signal: AbortSignal, place: Element }} told @param {File} file
 * @returns {Promise<NonNullable<SendingRow["upload"]> | null>}
 */
export function sendFile({ code, username, signal, place }, file) {
  return new Promise((resolve, reject) => {
    const sending = new Sending(file, waysOf(code, username, file, signal), () => view.show());
    const end = (/** @type {SendingRow["upload"]} */ found) => {
      refill(place);
      resolve(found);
    };
    const run = () => void sending.run().then(() => {
      if (sending.upload) end(sending.upload);
      else if (sending.state === "refused") {
        refill(place);
        reject(new Problem(422, "refused", sending.reason));
      }
    }, (error) => (signal.aborted ? end(null) : reject(error)));
    const view = sendingBar(sending, { goOn: run, gaveUp: () => end(null) });
    refill(place, view.element);
    run();
  });
}
