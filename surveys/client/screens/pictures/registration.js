/** Bringing visible and UV of one section together: by the program, or by pairs of points that a person names in both. */

import { removeRegistration } from "../../api/pictures.js";
import { ask } from "../../api/work.js";
import { now } from "../../model/jobs.js";
import { UV, called, isMicrograph, isShown } from "../../model/pictures/pictures.js";
import { sizeOf } from "../../model/pictures/points.js";
import { joining, pairsOff, pairsTold, placement, registrationTold } from "../../model/pictures/placement.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { follow } from "../parts/watching.js";
import { PointsTool } from "./points.js";

/** @typedef {import("./work.js").PictureWork} PictureWork */
/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */

const LEAST = 3;
const MOST = 20;

/** @param {PictureWork} work @returns {import("./work.js").Panel} */
export function registrationPanel(work) {
  const problem = refusals();
  const state = h("p", { role: "status" });
  const said = h("p", { class: "now", role: "status" });
  const deeds = h("div");
  const pairs = h("div");
  const element = h("div", null, h("h2", null, "Visible and UV together"), state, problem.place, deeds, said, pairs);
  /** @type {PointsTool[]} */
  let tools = [];
  let ended = false;

  /** Which is fixed and which is laid upon it: the visible one stays. @returns {{ fixed: Attachment, moving: Attachment } | null} */
  const two = () => {
    const { picture, desk: { other } } = work;
    if (!other) return null;
    return picture.kind === UV && other.kind !== UV ? { fixed: other, moving: picture } : { fixed: picture, moving: other };
  };

  /** @param {HTMLButtonElement} pressed @param {unknown[]} [points] */
  const register = (pressed, points) => busy(pressed, problem, async () => {
    const found = two();
    if (!found) return;
    said.textContent = "";
    const job = await ask(work.code, "register-pictures", { fixed: found.fixed.id, moving: found.moving.id, ...(points ? { points } : {}) });
    const ended = await follow(work.visit.signal, work.code, job, (one) => { said.textContent = now(one); });
    const done = ended.state === "done";
    said.textContent = done ? String(ended.result?.sentence ?? "Done.") : `Not registered. ${ended.error}`;
    announce(said.textContent);
    // The pairs of what was refused stay: one of them is likely to be mended.
    if (done) stop();
    await work.changed();
    if (done && work.desk.matrix !== null) work.desk.look("blink");
  });

  const stop = () => {
    for (const side of /** @type {const} */ ([0, 1])) if (tools[side]) work.desk.take(null, side);
    tools = [];
    refill(pairs);
  };

  const name = async () => {
    stop();
    work.desk.mode = "beside";
    await work.desk.open();
    const other = work.desk.other;
    if (!other || ended) return;
    const before = begun(work, other);
    const pointing = (/** @type {Attachment} */ one, /** @type {import("../../lib/plane.js").Point[]} */ points) => new PointsTool({
      most: MOST, label: called(one), within: sizeOf(one), drawn: () => [], redraw: () => work.desk.redraw(), changed: () => tell(),
    }, points);
    const [first, second] = [pointing(work.picture, before.map(([own]) => own)), pointing(other, before.map(([, theirs]) => theirs))];
    tools = [first, second];
    work.desk.take(first, 0);
    work.desk.take(second, 1);
    const told = h("p", { role: "status" });
    const tell = () => {
      const [a, b] = [first.points.length, second.points.length];
      told.textContent = a !== b ? `Point ${Math.min(a, b) + 1} is still to be put in ${a < b ? called(work.picture).toLowerCase() : called(other).toLowerCase()}.` : pairsTold(a);
    };
    const go = h("button", { type: "button", class: "main" }, "Register by these pairs");
    go.addEventListener("click", () => {
      const found = two();
      if (first.points.length < LEAST || first.points.length !== second.points.length || !found) {
        announce(told.textContent ?? "");
        return;
      }
      const [moving, fixed] = found.fixed.id === work.picture.id ? [second, first] : [first, second];
      void register(go, moving.points.map((one, at) => [one, fixed.points[at]]));
    });
    tell();
    refill(pairs, h("h3", null, "Pairs of points"), h("p", { class: "hint" }, "Point at a spot in the one picture, then at the same spot in the other: grains, cracks, the edges of the chip."), told, first.element, second.element,
      h("p", { class: "buttons" }, go, button("Cancel", stop, { class: "quiet" })));
    work.desk.viewers[0]?.frame.focus();
  };

  const refresh = () => {
    const { picture, desk: { other } } = work;
    const pair = other && joining(work.registrations, picture.id, other.id);
    state.textContent = !other ? "This sample has no second picture that could lie on this one. Add the UV picture on the bench."
      : pair ? `${called(other)} on ${called(picture)}: ${registrationTold(pair, laid(work))}`
        : `${called(other)} is not registered with ${called(picture).toLowerCase()}: they can only be looked at side by side, and lines are read in one of them only.`;
    if (!other || !work.writes) return refill(deeds, pair && pairList(pair));
    const auto = h("button", { type: "button", class: pair ? null : "main" }, pair ? "Register them again" : "Register them");
    auto.addEventListener("click", () => void register(auto));
    const byHand = h("button", { type: "button" }, "Name pairs of points");
    byHand.addEventListener("click", () => void busy(byHand, problem, name));
    refill(deeds, pair && pairList(pair), choiceOf(work), h("p", { class: "buttons" }, auto, byHand, pair && askedButton("Take the registration away", "Take it away?", "Take it away", (pressed) => busy(pressed, problem, async () => {
      await removeRegistration(work.code, pair);
      announce("The pictures are not registered any more.");
      await work.changed();
    }))));
  };
  refresh();
  return { element, begin: () => work.desk.take(null), end: () => {
    ended = true;
    stop();
  }, refresh };
}

/** How the other picture is laid over this one, however one looks at them just now. @param {PictureWork} work */
function laid({ picture, desk: { other, matrix } }) {
  const [over, under] = [other && sizeOf(other), sizeOf(picture)];
  return matrix && over && under ? placement(matrix, over, under) : null;
}

/** The pairs by which two pictures were registered before: a person goes on from them. @param {PictureWork} work @param {Attachment} other @returns {[own: import("../../lib/plane.js").Point, theirs: import("../../lib/plane.js").Point][]} */
function begun(work, other) {
  const pair = joining(work.registrations, work.picture.id, other.id);
  return (pair?.points ?? []).map(([moving, fixed]) => (pair?.fixed === work.picture.id ? [fixed, moving] : [moving, fixed]));
}

/** How far each pair is off, so that the one that was put wrong is found. @param {import("../../model/pictures/types.js").Registration} pair */
function pairList(pair) {
  if (pair.points.length === 0) return null;
  return h("details", null, h("summary", null, "How far each pair is off"), h("ol", null, pairsOff(pair).map((one) => h("li", null, `${Number(one.toPrecision(2))} px`))));
}

/** Which other picture, where there are several. @param {PictureWork} work */
function choiceOf(work) {
  const offers = work.pictures.filter((one) => one.id !== work.picture.id && isShown(one) && isMicrograph(one));
  if (offers.length < 2) return null;
  const id = newId("other");
  const select = h("select", { id, onchange: () => work.desk.pair(select.value) }, offers.map((one) => h("option", { value: one.id }, called(one))));
  select.value = work.desk.other?.id ?? "";
  return h("div", { class: "field" }, h("label", { for: id }, "The other picture"), select);
}
