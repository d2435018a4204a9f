/** Drawing a line across a section, and changing one that is drawn: its points and the width of its strip. Then it is read. */

import { changeTraverse, drawTraverse } from "../../api/pictures.js";
import { length, strip } from "../../lib/plane.js";
import { Problem } from "../../model/problems.js";
import { firstWidth, proper, wrongPath } from "../../model/pictures/lines.js";
import { sizeOf } from "../../model/pictures/points.js";
import { positive } from "../../model/pictures/scale.js";
import { button, h, newId } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";
import { PointsTool } from "./points.js";

/** @typedef {import("../../model/pictures/types.js").Traverse} Traverse */
/** @typedef {import("./overlay.js").Shape} Shape */
/** @typedef {import("./work.js").PictureWork} PictureWork */

export class Shaping {
  /** @param {PictureWork} work @param {Traverse | null} line the one that is changed; null for a new one @param {(line: Traverse | null) => void} done told the line as it is read now; null if it was left */
  constructor(work, line, done) {
    this.work = work;
    this.line = line;
    this.done = done;
    this.problem = refusals();
    this.said = h("p", { role: "status" });
    const id = newId("width");
    // A width that somebody chose stays; until then it goes with the length.
    this.own = line !== null;
    this.width = h("input", { id, inputmode: "decimal", size: 6, autocomplete: "off", oninput: () => this.typed(), onblur: () => this.tell() });
    this.tool = new PointsTool({
      label: "The line, from the substrate to beyond the surface", path: true, width: line?.width_px ?? 5, grows: line !== null, within: sizeOf(work.picture),
      redraw: () => work.desk.redraw(), changed: () => this.tell(), done: () => this.read.click(), drawn: (points) => this.drawn(points),
    }, line?.path ?? []);
    this.read = h("button", { type: "button", class: "main" }, line ? "Read along the changed line" : "Read along this line");
    this.read.addEventListener("click", () => this.send());
    const back = (/** @type {string} */ text, /** @type {() => string} */ deed) => button(text, () => this.tool.back(deed), { class: "quiet" });
    this.element = h("div", null, h("h3", null, line ? `Line ${line.number}, changed` : "A new line"), ...this.hints(), this.said, this.tool.element,
      h("div", { class: "field" }, h("label", { for: id }, "Width of the strip that is read, px"), this.width), this.problem.place,
      h("p", { class: "buttons" }, this.read, back("Undo", () => this.tool.model.undo()), back("Do again", () => this.tool.model.redo()), button("Cancel", () => this.done(null), { class: "quiet" })));
    this.tell();
  }

  hints() {
    const { line, taken } = this;
    if (!line) return [h("p", { class: "hint" }, "Begin in the substrate and end beyond the surface, through sound paint; several lines on one section make it surer.")];
    const kept = taken ? "Layers were taken into the record from this line, so its course stays: a changed one is read as another line. With another width it is read anew itself."
      : line.boundaries ? "Boundaries were put by hand along this line. On a changed one they are set aside, and shown beside the new reading." : "";
    return [h("p", { class: "hint" }, "Drag a point, or a leg to bend it, or a side of the strip to make it wider; click beside the line to make it longer."), kept !== "" && h("p", { class: "box" }, kept)];
  }

  /** Whether layers were taken from the line into the record: their places are told along its course. */
  get taken() {
    return this.line !== null && proper(this.line).some((one) => one.accepted);
  }

  /** @param {readonly import("../../lib/plane.js").Point[]} points @returns {Shape[]} */
  drawn(points) {
    const { width } = this.tool.model;
    if (points.length < 2) return [];
    return [{ kind: "box", points: strip(points, 0, length(points), width ?? 1) }, { kind: "line", points: [...points] }];
  }

  typed() {
    this.own = true;
    const width = positive(this.width.value);
    if (width !== null) this.tool.model.widen(width);
    this.tell();
    this.work.desk.redraw();
  }

  tell() {
    const { tool: { model }, width } = this;
    if (!this.own && model.all.length > 1 && model.width !== null) {
      if (model.steps.step.run === "width") this.own = true;
      else model.suit(firstWidth(model.all));
    }
    if (document.activeElement !== width) width.value = String(model.width);
    const typed = document.activeElement === width ? positive(width.value) : model.width;
    this.said.textContent = wrongPath(model.all, typed) || `${Math.round(length(model.all)).toLocaleString("en-GB")} px long. Where the layers lean, lay it square to them.`;
    if (this.line) this.read.textContent = this.another ? "Read along it as another line" : "Read along the changed line";
    this.work.visit.unsaved(this.touched);
  }

  get touched() {
    const { line, tool: { model } } = this;
    return line === null ? model.all.length > 0 : this.moved || model.width !== line.width_px;
  }

  send() {
    const { line, work, tool: { model } } = this;
    const fault = wrongPath(model.all, model.width);
    if (fault || (line && !this.touched)) {
      announce(fault || "Nothing is changed yet.");
      return;
    }
    void busy(this.read, this.problem, async () => {
      const made = line && !this.another ? await this.changed(line) : await drawTraverse(work.code, { attachment: work.picture.id, path: [...model.all], width_px: model.width });
      announce("The line is being read.");
      if (!work.visit.signal.aborted) work.visit.unsaved(false);
      this.done(made);
    });
  }

  /** Whether the course is another one than was drawn. */
  get moved() {
    return this.line !== null && JSON.stringify(this.tool.model.all) !== JSON.stringify(this.line.path);
  }

  /** Whether what is drawn becomes a line of its own, since another rests on the course as it was. */
  get another() {
    return this.taken && this.moved;
  }

  /** @param {Traverse} line */
  async changed(line) {
    const { model } = this.tool;
    // Boundaries are told along the path: on another they mean nothing.
    const values = { ...(this.moved ? { path: [...model.all], ...(line.boundaries ? { boundaries: null } : {}) } : {}), width_px: model.width };
    try {
      return await changeTraverse(this.work.code, line, values);
    } catch (error) {
      if (!(error instanceof Problem) || error.status !== 412 || !error.current) throw error;
      this.line = error.current;
      throw new Problem(412, error.code, "Somebody else changed this line meanwhile, or it was read anew. Yours is still here: read along it once more to put it in the place of theirs, or cancel to see theirs.");
    }
  }
}
