/** The scale of a picture: a line on a stage micrometer, a microscope of the project, or a number that is stated. */

import { changeAttachment, microscopes as readMicroscopes } from "../../api/pictures.js";
import { isStop } from "../../api/http.js";
import { sizeOf } from "../../model/pictures/points.js";
import { lineTold, ofMicroscope, perPixel, positive } from "../../model/pictures/scale.js";
import { figure, scaleTold } from "../../model/pictures/pictures.js";
import { h, newId, refill } from "../parts/dom.js";
import { announce, askedButton, busy, refusals, reportUnexpected } from "../parts/say.js";
import { microscopesFold } from "./microscopes.js";
import { PointsTool } from "./points.js";

/** @typedef {import("./work.js").PictureWork} PictureWork */
/** @typedef {import("../../model/pictures/types.js").Microscope} Microscope */

/** @param {PictureWork} work @returns {import("./work.js").Panel} */
export function scalePanel(work) {
  const state = h("p");
  const problem = refusals();
  const away = h("div");
  const element = h("div", null, h("h2", null, "Scale"), state, problem.place);

  /** @param {HTMLButtonElement} pressed @param {Record<string, unknown>} values @param {string} said */
  const send = (pressed, values, said) => busy(pressed, problem, async () => {
    await changeAttachment(work.code, work.picture, values);
    announce(said);
    await work.changed();
  });
  const refresh = () => {
    state.textContent = scaleTold(work.picture);
    refill(away, work.writes && work.picture.um_per_pixel !== null && askedButton("Take the scale away", "Take it away? Thicknesses read by it go with it.", "Take it away", (pressed) => void send(pressed, { um_per_pixel: null }, "The picture has no scale now.")));
  };
  refresh();
  if (!work.writes) return { element, begin: () => work.desk.take(null), end: () => {}, refresh };
  const byLine = line(work, send);
  element.append(byLine.element, byMicroscope(work, send), stated(send), away);
  return { element, begin: () => work.desk.take(byLine.tool), end: () => work.desk.take(null), refresh };
}

/** @typedef {(pressed: HTMLButtonElement, values: Record<string, unknown>, said: string) => Promise<void>} Send */

/** @param {PictureWork} work @param {Send} send */
function line(work, send) {
  const drawn = work.picture.scale_line;
  const id = newId("length");
  const told = h("p", { role: "status" });
  const input = h("input", { id, inputmode: "decimal", autocomplete: "off", size: 8, value: drawn ? String(drawn.length_um) : "", oninput: () => tell() });
  const tool = new PointsTool({
    most: 2, label: "Two divisions of a stage micrometer", within: sizeOf(work.picture), changed: () => tell(), redraw: () => work.desk.redraw(),
    drawn: (points) => (points.length === 2 ? [{ kind: "line", points: [...points] }] : []),
  }, drawn?.points ?? []);
  const tell = () => { told.textContent = lineTold(tool.points, positive(input.value)); };
  const set = h("button", { type: "button", class: "main" }, "Set the scale by this line");
  set.addEventListener("click", () => {
    const length = positive(input.value);
    if (perPixel(tool.points, length) === null) announce(lineTold(tool.points, length));
    else void send(set, { scale_line: { points: tool.points, length_um: length } }, "The scale is set by the line.");
  });
  tell();
  return { tool, element: h("section", null, h("h3", null, "By a line on a stage micrometer"),
    h("p", { class: "hint" }, "On this picture, or on one of the micrometer taken at the same magnification: then state the number, or keep it as a microscope."),
    tool.element, h("div", { class: "field" }, h("label", { for: id }, "Its length, µm"), input), told, h("p", { class: "buttons" }, set)) };
}

/** @param {PictureWork} work @param {Send} send */
function byMicroscope(work, send) {
  const id = newId("microscope");
  const told = h("p", { class: "hint" });
  const select = h("select", { id, onchange: () => tell() });
  /** @type {Microscope[]} */
  let known = [];
  const tell = () => {
    const one = known.find((each) => each.id === select.value);
    told.textContent = one ? `${figure(ofMicroscope(one, work.picture.width), 4)} µm per px in this picture${one.picture_width && one.picture_width !== work.picture.width ? `, measured on pictures ${one.picture_width} px wide` : ""}.` : "";
  };
  const use = h("button", { type: "button" }, "Use this microscope");
  use.addEventListener("click", () => select.value !== "" && void send(use, { microscope: select.value }, "The scale is that of the microscope."));
  const read = async () => {
    known = await readMicroscopes(work.code, work.visit.signal);
    refill(select, h("option", { value: "" }, known.length ? "choose …" : "there is none yet"), known.map((one) => h("option", { value: one.id }, `${one.name}, ${one.magnification}`)));
    select.value = known.some((one) => one.id === work.picture.microscope) ? (work.picture.microscope ?? "") : "";
    tell();
  };
  const again = () => void read().catch((error) => !isStop(error) && reportUnexpected(error));
  again();
  return h("section", null, h("h3", null, "By a microscope of the project"), h("div", { class: "field" }, h("label", { for: id }, "Microscope and magnification"), select), told,
    h("p", { class: "buttons" }, use), microscopesFold(work.visit, work.code, again, work.picture));
}

/** @param {Send} send */
function stated(send) {
  const id = newId("stated");
  const fault = h("p", { class: "fault" });
  const input = h("input", { id, inputmode: "decimal", autocomplete: "off", size: 8 });
  const set = h("button", { type: "button" }, "State this");
  set.addEventListener("click", () => {
    const value = positive(input.value);
    fault.textContent = value === null ? "A number above 0, as in 0.52." : "";
    if (value !== null) void send(set, { um_per_pixel: value }, "The scale is as stated.");
    else input.focus();
  });
  return h("section", null, h("h3", null, "As somebody states it"), h("div", { class: "field" }, h("label", { for: id }, "µm per px"), input), fault, h("p", { class: "buttons" }, set));
}
