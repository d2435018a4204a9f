/** Lines across a section: drawn, read by the program, corrected by a person, brought together, and taken into the record. */

import { isStop } from "../../api/http.js";
import { changeTraverse, drawTraverse, removeTraverse } from "../../api/pictures.js";
import { length } from "../../lib/plane.js";
import { now } from "../../model/jobs.js";
import { firstWidth, lineTold, proper, wrongPath } from "../../model/pictures/lines.js";
import { positive } from "../../model/pictures/scale.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { openAccept } from "./accept.js";
import { followAsked } from "./asked.js";
import { curves } from "./curves.js";
import { Cutting } from "./cutting.js";
import { PointsTool } from "./points.js";
import { proposalList } from "./proposal.js";
import { reconciledFold } from "./reconciled.js";
import { standingStack } from "./stack.js";

/** @typedef {import("../../model/pictures/types.js").Traverse} Traverse */
/** @typedef {import("./work.js").Panel} Panel */
/** @typedef {import("./work.js").PictureWork} PictureWork */

/** @param {PictureWork} work @returns {Panel} */
export function linesPanel(work) {
  return new LinesPanel(work);
}

/** @implements {Panel} */
class LinesPanel {
  /** @param {PictureWork} work */
  constructor(work) {
    this.work = work;
    this.number = Number(work.visit.query.get("line") ?? 0);
    /** @type {Cutting | null} */
    this.cutting = null;
    /** @type {{ draw: () => void }[]} */
    this.shown = [];
    /** @type {ReturnType<typeof standingStack> | null} */
    this.stack = null;
    this.drawing = false;
    this.state = "";
    this.problem = refusals();
    this.list = h("div");
    this.place = h("div");
    this.together = reconciledFold(work, () => this.refresh());
    this.element = h("div", null, h("h2", null, "Layers along a line"), this.problem.place, this.list, this.place, this.together.element);
  }

  /** The lines of this picture; those of another are read there. */
  get lines() {
    return this.work.lines.filter((one) => one.attachment === this.work.picture.id);
  }

  get line() {
    return this.lines.find((one) => one.number === this.number) ?? this.lines[0] ?? null;
  }

  begin() {
    this.refresh();
  }

  end() {
    void this.cutting?.save();
    this.work.desk.without = "";
    this.work.desk.light(null);
    this.work.desk.take(null);
  }

  refresh() {
    this.drawList();
    this.together.refresh();
    this.stack?.again();
    if (this.drawing) return;
    const { line } = this;
    const key = line ? `${line.id} ${line.state}` : "none";
    if (key !== this.state) this.open(line);
    else if (line && this.cutting && line.version !== this.cutting.line.version && !this.cutting.unsaved) {
      this.cutting.begun(line);
      this.changed();
    }
  }

  drawList() {
    const { lines, line, work } = this;
    const focused = [...this.list.querySelectorAll("button")].findIndex((one) => one === document.activeElement);
    refill(this.list, lines.length === 0 && h("p", { class: "empty" }, "No line was drawn on this picture yet."),
      h("p", { class: "linelist picturetabs" }, lines.map((one) => button(`Line ${one.number}`, () => this.choose(one.number), { class: "quiet", "aria-pressed": String(one.id === line?.id && !this.drawing), title: lineTold(one) })),
        work.writes && !this.drawing && button(lines.length ? "Draw another line" : "Draw a line", () => this.draw(), lines.length ? { class: "quiet" } : { class: "main" })));
    if (focused >= 0) [...this.list.querySelectorAll("button")][focused]?.focus();
  }

  /** @param {number} number */
  choose(number) {
    void this.cutting?.save();
    this.drawing = false;
    this.number = number;
    this.state = "";
    history.replaceState(null, "", this.work.address("lines", { line: String(number) }));
    this.refresh();
  }

  /** @param {Traverse | null} line */
  open(line) {
    this.state = line ? `${line.id} ${line.state}` : "none";
    const { desk } = this.work;
    this.cutting = null;
    this.stack = null;
    this.shown = [];
    desk.without = "";
    desk.take(null);
    if (!line || line.state !== "read") {
      const said = h("p", { role: "status" }, line && lineTold(line));
      refill(this.place, said, line && this.work.writes && this.again(line));
      if (line?.state === "waiting") this.awaited(line, said);
      return;
    }
    const cutting = new Cutting(this.work, line, () => this.changed());
    this.cutting = cutting;
    const list = proposalList(cutting, (index) => this.light(index));
    const drawn = curves(cutting);
    const stack = standingStack(cutting, (index) => this.light(index));
    this.stack = stack;
    this.shown = [list, drawn, stack];
    desk.without = line.id;
    desk.take(cutting);
    const accept = button("Take into the record …", () => void busy(accept, this.problem, async () => {
      await cutting.save();
      await openAccept(this.work, cutting.line, () => void this.work.changed());
    }), { class: "main" });
    const undo = button("Undo", () => cutting.doneBy(() => cutting.cuts.undo()), { class: "quiet" });
    const redo = button("Do again", () => cutting.doneBy(() => cutting.cuts.redo()), { class: "quiet" });
    const found = button("As it was found", () => void busy(found, this.problem, () => cutting.asFound()), { class: "quiet" });
    refill(this.place, h("h3", null, `Line ${line.number}: a proposal`), h("p", null, lineTold(line)), cutting.problem.place,
      drawn.element, line.cautions?.length ? h("details", null, h("summary", null, "How far these numbers may be trusted, and cautions"), h("ul", { class: "notes" }, line.cautions.map((one) => h("li", null, one)))) : null,
      this.work.writes && h("p", { class: "buttons" }, accept, undo, redo, found),
      h("div", { class: "besides" }, h("div", null, h("h4", null, "Read along this line"), list.element), stack.element), this.work.writes && this.removal(line));
    this.changed();
  }

  /** What becomes of the reading, as long as it is under way. @param {Traverse} line @param {HTMLElement} said */
  awaited(line, said) {
    const { code, visit: { signal } } = this.work;
    followAsked(signal, code, "read-line", (one) => one.params["traverse"] === line.id, (one) => { said.textContent = now(one); }).catch((error) => !isStop(error) && this.problem.show(error));
  }

  /** A line that is not read: once more, or away. @param {Traverse} line */
  again(line) {
    const once = h("button", { type: "button", class: "quiet" }, "Read it again");
    once.addEventListener("click", () => void busy(once, this.problem, async () => {
      await changeTraverse(this.work.code, line, { width_px: line.width_px });
      this.state = "";
      await this.work.changed();
    }));
    return h("div", null, h("p", { class: "buttons" }, once), this.removal(line));
  }

  changed() {
    for (const one of this.shown) one.draw();
    this.work.desk.redraw();
  }

  /** @param {number} index */
  light(index) {
    if (!this.cutting || this.cutting.lit === index) return;
    this.cutting.lit = index;
    this.changed();
  }

  /** What is pointed at on the picture is marked in the list. @param {import("./desk.js").Found} found */
  pointed(found) {
    const { cutting } = this;
    if (cutting && found?.line.id === cutting.line.id) this.light(cutting.cuts.layerAt(found.far));
    else {
      this.light(0);
      this.work.desk.light(found && { line: found.line.id, index: found.layer?.index ?? 0 });
    }
  }

  /** Draw a line: points on the picture, a width, and it is read. */
  draw() {
    const { work } = this;
    this.drawing = true;
    work.desk.without = "";
    const id = newId("width");
    const told = h("p", { role: "status" });
    let own = false;
    const width = h("input", { id, inputmode: "decimal", size: 6, autocomplete: "off", oninput: () => {
      own = true;
      tell();
    } });
    const strips = () => positive(width.value);
    const tool = new PointsTool({ most: Infinity, label: "The line, from the substrate to beyond the surface", redraw: () => work.desk.redraw(), changed: () => tell(), done: () => read.click(),
      drawn: (points) => (points.length > 1 ? [{ kind: "line", points: [...points] }] : []) });
    const tell = () => {
      if (!own && tool.points.length > 1) width.value = String(firstWidth(tool.points));
      told.textContent = wrongPath(tool.points, strips()) || `${Math.round(length(tool.points)).toLocaleString("en-GB")} px long. Where the layers lean, lay it square to them.`;
    };
    const read = h("button", { type: "button", class: "main" }, "Read along this line");
    read.addEventListener("click", () => {
      const fault = wrongPath(tool.points, strips());
      if (fault) announce(fault);
      else void busy(read, this.problem, async () => {
        const made = await drawTraverse(work.code, { attachment: work.picture.id, path: tool.points, width_px: strips() });
        announce("The line is being read.");
        this.drawing = false;
        this.number = made.number;
        this.state = "";
        await work.changed();
      });
    });
    const leave = button("Cancel", () => {
      this.drawing = false;
      this.state = "";
      this.refresh();
    }, { class: "quiet" });
    work.desk.take(tool);
    tell();
    this.drawList();
    refill(this.place, h("h3", null, "A new line"), h("p", { class: "hint" }, "Begin in the substrate and end beyond the surface, through sound paint; several lines on one section make it surer."), told, tool.element,
      h("div", { class: "field" }, h("label", { for: id }, "Width of the strip that is read, px"), width), h("p", { class: "buttons" }, read, leave));
    work.desk.viewers[0]?.frame.focus();
  }

  /** @param {Traverse} line */
  removal(line) {
    const { work, problem } = this;
    const taken = proper(line).some((one) => one.accepted);
    return h("p", { class: "buttons" }, askedButton(`Remove line ${line.number}`, taken ? "Remove it, with its measurements? Layers that were taken into the record stay." : "Remove it?", "Remove", (pressed) => busy(pressed, problem, async () => {
      await removeTraverse(work.code, line);
      announce("Removed.");
      this.number = 0;
      this.state = "";
      await work.changed();
    })));
  }
}
