/** The colours of a picture: a grey or colour target in it, or that of another picture taken in the same light. */

import { isStop } from "../../api/http.js";
import { changeAttachment, targets as readTargets } from "../../api/pictures.js";
import { asked, boxes, leftOver, wrong } from "../../model/pictures/colours.js";
import { sizeOf } from "../../model/pictures/points.js";
import { UNCALIBRATED, called, coloursTold } from "../../model/pictures/pictures.js";
import { now } from "../../model/jobs.js";
import { h, newId, refill } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { followAsked } from "./asked.js";
import { PointsTool } from "./points.js";
import { unmeasured } from "./unready.js";

/** @typedef {import("./work.js").PictureWork} PictureWork */
/** @typedef {import("../../model/pictures/types.js").Target} Target */

/** @param {PictureWork} work @returns {import("./work.js").Panel} */
export function colourPanel(work) {
  const problem = refusals();
  const state = h("p");
  const said = h("p", { class: "now", role: "status" });
  const trouble = h("div");
  const byTarget = h("div");
  const deeds = h("div");
  const element = h("div", null, h("h2", null, "Colours"), state,
    h("p", { class: "hint" }, `Without a target colours are shown and read as the camera gave them, and are called ${UNCALIBRATED} wherever they appear.`), trouble, problem.place, said);
  /** @type {PointsTool | null} */
  let tool = null;
  let ended = false;

  /** @param {HTMLButtonElement} pressed @param {Record<string, unknown>} values */
  const send = (pressed, values) => busy(pressed, problem, async () => {
    const { picture, code, visit: { signal } } = work;
    await changeAttachment(code, picture, values);
    await work.changed();
    if (Object.values(values).includes(null)) return;
    said.textContent = "The colours are being worked out …";
    const job = await followAsked(signal, code, "picture-colour", (one) => one.params["attachment"] === picture.id, (one) => { said.textContent = now(one); });
    said.textContent = job && job.state !== "done" ? job.error : "";
    await work.changed();
    announce(coloursTold(work.picture));
  });
  const refresh = () => {
    const { picture } = work;
    const mean = picture.colour_residual?.["mean"];
    state.textContent = [coloursTold(picture), typeof mean === "number" && picture.colour_state !== UNCALIBRATED ? `That is ${leftOver(mean)}.` : ""].filter(Boolean).join(" ");
    refill(trouble, unmeasured({ code: work.code, signal: work.visit.signal, writes: work.writes, changed: () => void work.changed() }, picture));
    refill(deeds, work.writes && (picture.colour_target || picture.colour_from) && askedButton("Take the correction away", `Take it away? Colours are ${UNCALIBRATED} then.`, "Take it away", (pressed) => void send(pressed, { colour_target: null, colour_from: null })));
  };
  refresh();
  if (work.writes) {
    element.append(byTarget, ofAnother(work, send), deeds);
    readTargets(work.code, work.visit.signal).then((all) => {
      if (!ended) choose(all);
    }).catch((error) => !isStop(error) && problem.show(error));
  }

  /** @param {Target[]} all */
  function choose(all) {
    const id = newId("target");
    const place = h("div");
    const select = h("select", { id, onchange: () => take() }, h("option", { value: "" }, "choose …"), all.map((one) => h("option", { value: one.name }, one.title)));
    select.value = work.picture.colour_target?.target ?? "";
    const take = () => {
      const target = all.find((one) => one.name === select.value);
      tool = target ? pointing(work, target, place, send) : null;
      if (!target) refill(place);
      work.desk.take(tool);
    };
    refill(byTarget, h("h3", null, "By a target in this picture"), h("div", { class: "field" }, h("label", { for: id }, "Target"), select), place);
    take();
  }

  return { element, begin: () => work.desk.take(tool), end: () => {
    ended = true;
    work.desk.take(null);
  }, refresh };
}

/** @typedef {(pressed: HTMLButtonElement, values: Record<string, unknown>) => Promise<void>} Send */

/** @param {PictureWork} work @param {Target} target @param {HTMLElement} place @param {Send} send */
function pointing(work, target, place, send) {
  const steps = asked(target);
  const told = h("p", { role: "status" });
  const kept = work.picture.colour_target;
  const tool = new PointsTool({
    most: steps.length, label: "Where the patches are", within: sizeOf(work.picture), redraw: () => work.desk.redraw(), changed: () => tell(),
    drawn: (points) => {
      const found = points.length === steps.length ? boxes(target, points) : kept?.target === target.name && points.length === 0 ? kept.patches.map((one) => one.box) : [];
      return found.map(([x, y, w, d], at) => ({ kind: "box", points: [[x, y], [x + w, y], [x + w, y + d], [x, y + d]], label: found.length > 1 ? String(at + 1) : "" }));
    },
  });
  const tell = () => {
    const next = steps[tool.points.length];
    told.textContent = next ? `Point at ${next}.` : wrong(boxes(target, tool.points), work.picture) || "Look whether each box lies well within its patch, away from edges and glare.";
  };
  const read = h("button", { type: "button", class: "main" }, "Read the colours of the target");
  read.addEventListener("click", () => {
    const found = boxes(target, tool.points);
    const fault = wrong(found, work.picture);
    if (fault) announce(fault);
    else void send(read, { colour_target: { target: target.name, patches: found.map((box) => ({ box })) } });
  });
  tell();
  refill(place, h("p", { class: "hint" }, `${target.patches.length === 1 ? "One patch" : `${target.patches.length} patches`}; ${target.source}`), told, tool.element, h("p", { class: "buttons" }, read));
  return tool;
}

/** @param {PictureWork} work @param {Send} send */
function ofAnother(work, send) {
  const offers = work.pictures.filter((one) => one.id !== work.picture.id && one.colour_target);
  if (offers.length === 0) return h("p", { class: "hint" }, "Once another picture of this sample has a target, this one can take its correction from there.");
  const id = newId("from");
  const select = h("select", { id }, h("option", { value: "" }, "choose …"), offers.map((one) => h("option", { value: one.id }, called(one))));
  select.value = work.picture.colour_from ?? "";
  const use = h("button", { type: "button" }, "Use its correction");
  use.addEventListener("click", () => select.value !== "" && void send(use, { colour_from: select.value }));
  return h("section", null, h("h3", null, "By the target of another picture"), h("p", { class: "hint" }, "Only for one taken with the same camera, light and exposure."),
    h("div", { class: "field" }, h("label", { for: id }, "Picture with the target"), select), h("p", { class: "buttons" }, use));
}

