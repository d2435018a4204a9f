/** Lines across a section: drawn, read by the program, corrected by a person, brought together, and taken into the record. */

import { isStop } from "../../api/http.js";
import { removeTraverse } from "../../api/pictures.js";
import { ask } from "../../api/work.js";
import { now } from "../../model/jobs.js";
import { Problem } from "../../model/problems.js";
import { lineTold, proper } from "../../model/pictures/lines.js";
import { UV, called } from "../../model/pictures/pictures.js";
import { button, h, refill } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { openAccept } from "./accept.js";
import { followAsked } from "./asked.js";
import { curves } from "./curves.js";
import { Cutting } from "./cutting.js";
import { formerPart } from "./former.js";
import { olderPart } from "./older.js";
import { proposalList } from "./proposal.js";
import { reconciledFold } from "./reconciled.js";
import { Shaping } from "./shaping.js";
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
    /** @type {ReturnType<typeof formerPart> | null} */
    this.former = null;
    /** @type {Shaping | null} */
    this.shaping = null;
    this.state = this.removed = "";
    this.problem = refusals();
    this.list = h("div");
    this.told = h("p");
    /** The line that was in hand last, and what is said where somebody else removed it. */
    this.known = { id: "", number: 0 };
    this.gone = h("p", { class: "box", role: "status", hidden: true });
    this.place = h("div");
    this.together = reconciledFold(work);
    this.element = h("div", null, h("h2", null, "Layers along a line"), this.problem.place, this.list, this.gone, this.place, this.together.element);
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
    this.leave();
    void this.cutting?.save();
    this.work.desk.without = "";
    this.work.desk.light(null);
    this.work.desk.take(null);
  }

  refresh() {
    this.drawList();
    this.together.refresh();
    this.stack?.again();
    if (this.shaping) return;
    const { line } = this;
    this.tellGone(line);
    const key = keyOf(line);
    if (key !== this.state) this.open(line);
    else if (line && this.cutting) this.others(this.cutting, line);
  }

  /** What somebody else removed is not silently another line. @param {Traverse | null} line */
  tellGone(line) {
    const { known } = this;
    this.known = { id: line?.id ?? "", number: line?.number ?? 0 };
    if (known.id === "" || known.id === this.known.id) return;
    this.gone.hidden = this.lines.some((one) => one.id === known.id) || this.removed === known.id;
    this.gone.textContent = `Line ${known.number} was removed meanwhile by somebody else. A coordinator can bring it back, under Removed.`;
    if (!this.gone.hidden) this.number = 0;
  }

  /** What others made of the line meanwhile; of what was asked before one's own last act nothing is taken. @param {Cutting} cutting @param {Traverse} line */
  others(cutting, line) {
    if (cutting.unsaved || cutting.saving || line.version < cutting.line.version || JSON.stringify(line) === JSON.stringify(cutting.line)) return;
    const anew = line.read_at !== cutting.line.read_at || JSON.stringify(line.path) !== JSON.stringify(cutting.line.path);
    if (anew) return this.open(line);
    if (line.version > cutting.line.version) {
      cutting.begun(line);
      announce("The line was changed by somebody else; it is shown as it stands now.");
    } else cutting.take(line);
    this.former?.again();
    this.changed();
  }

  drawList() {
    const { lines, line, work } = this;
    if (work.picture.kind === UV) return this.elsewhere();
    const focused = [...this.list.querySelectorAll("button")].findIndex((one) => one === document.activeElement);
    refill(this.list, lines.length === 0 && h("p", { class: "empty" }, "No line was drawn on this picture yet."),
      h("p", { class: "linelist picturetabs" }, lines.map((one) => button(`Line ${one.number}`, () => this.choose(one.number), { class: "quiet", "aria-pressed": String(one.id === line?.id && !this.shaping), title: lineTold(one) })),
        work.writes && !this.shaping && button(lines.length ? "Draw another line" : "Draw a line", () => void this.shape(null), lines.length ? { class: "quiet" } : { class: "main" })));
    if (focused >= 0) [...this.list.querySelectorAll("button")][focused]?.focus();
  }

  /** Whether what is drawn may be left: what was not read yet would be gone. */
  mayLeave() {
    return !this.shaping?.touched || confirm("The line that you drew is not read yet. Leave it?");
  }

  /** Lines are drawn in visible light; the UV picture is read along with them. */
  elsewhere() {
    const { desk } = this.work;
    const { other } = desk;
    const there = other && other.kind !== UV ? button(`Go to ${called(other).toLowerCase()}`, () => desk.choose(other.id), { class: "quiet" }) : null;
    refill(this.list, h("p", null, "Lines are drawn on the picture in visible light. This one is read along with them, where the two are registered: then they are drawn here too."), there && h("p", { class: "buttons" }, there));
  }

  /** @param {number} number */
  choose(number) {
    if (!this.mayLeave()) return;
    void this.cutting?.save();
    this.leave();
    this.number = number;
    history.replaceState(null, "", this.work.address("lines", { line: String(number) }));
    this.refresh();
  }

  /** @param {Traverse | null} line */
  open(line) {
    this.state = keyOf(line);
    const { desk } = this.work;
    this.cutting = null;
    this.stack = null;
    this.former = null;
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
    this.former = formerPart(cutting);
    this.shown = [list, drawn, stack, this.former];
    desk.without = line.id;
    desk.take(cutting);
    const accept = button("Take into the record …", () => void busy(accept, this.problem, async () => {
      await cutting.save();
      if (cutting.unsaved) throw new Problem(409, "unsaved", "The boundaries are not saved yet. Take the layers over once they are.");
      await openAccept(this.work, cutting.line, () => void this.work.changed());
    }), { class: "main" });
    const undo = button("Undo", () => cutting.doneBy(() => cutting.cuts.undo()), { class: "quiet" });
    const redo = button("Do again", () => cutting.doneBy(() => cutting.cuts.redo()), { class: "quiet" });
    const change = button("Change its course or width", () => void this.shape(line), { class: "quiet" });
    const found = button("As it was found", () => void busy(found, this.problem, () => cutting.asFound()), { class: "quiet" });
    refill(this.place, h("h3", null, `Line ${line.number}: a proposal`), this.told, olderPart(cutting), cutting.place, this.former.element,
      drawn.element, line.cautions?.length ? h("details", null, h("summary", null, "How far these numbers may be trusted, and cautions"), h("ul", { class: "notes" }, line.cautions.map((one) => h("li", null, one)))) : null,
      this.work.writes && h("p", { class: "buttons" }, accept, undo, redo, found, change),
      h("div", { class: "besides" }, h("div", null, h("h4", null, "Read along this line"), list.element), stack.element), this.work.writes && this.removal(line));
    this.changed();
  }

  /** What becomes of the reading, as long as it is under way. @param {Traverse} line @param {HTMLElement} said */
  awaited(line, said) {
    const { code, visit: { signal } } = this.work;
    followAsked(signal, code, "read-line", (one) => one.params["traverse"] === line.id, (one) => { said.textContent = now(one); }).catch((error) => !isStop(error) && this.problem.show(error));
  }

  /** A line that is not read: once more where nothing is under way, on another course, or away. @param {Traverse} line */
  again(line) {
    const once = button("Read it again", () => void busy(once, this.problem, async () => {
      await ask(this.work.code, "read-line", { traverse: line.id });
      this.state = "";
      await this.work.changed();
    }), { class: "quiet" });
    const change = button("Change its course or width", () => void this.shape(line), { class: "quiet" });
    return h("div", null, h("p", { class: "buttons" }, line.state === "waiting" && line.trouble !== "" && once, change), this.removal(line));
  }

  changed() {
    if (this.cutting) this.told.textContent = lineTold(this.cutting.line);
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

  /** Draw a line, or change one that is drawn. @param {Traverse | null} line */
  async shape(line) {
    const { work } = this;
    await this.cutting?.save();
    if (this.cutting?.unsaved) return this.problem.show(new Problem(409, "unsaved", "The boundaries are not saved yet. Change the line once they are."));
    const shaping = this.shaping = new Shaping(work, line ? (this.lines.find((one) => one.id === line.id) ?? line) : null, (made) => void this.shaped(made));
    this.cutting = null;
    work.desk.without = line?.id ?? "";
    work.desk.take(shaping.tool);
    this.drawList();
    refill(this.place, shaping.element);
    // A line is changed where all of it is in view.
    if (line) work.desk.viewers[0]?.fit();
    work.desk.viewers[0]?.frame.focus();
  }

  leave() {
    if (this.shaping && !this.work.visit.signal.aborted) this.work.visit.unsaved(false);
    this.shaping = null;
    this.state = "";
  }

  /** @param {Traverse | null} made */
  async shaped(made) {
    this.leave();
    if (!made) return this.refresh();
    this.number = made.number;
    await this.work.changed();
  }

  /** @param {Traverse} line */
  removal(line) {
    const { work, problem } = this;
    const taken = proper(line).some((one) => one.accepted);
    return h("p", { class: "buttons" }, askedButton(`Remove line ${line.number}`, taken ? "Remove it, with its measurements? Layers that were taken into the record stay." : "Remove it?", "Remove", (pressed) => busy(pressed, problem, async () => {
      await this.cutting?.save();
      this.removed = line.id;
      await removeTraverse(work.code, this.lines.find((one) => one.id === line.id) ?? line);
      announce("Removed.");
      this.number = 0;
      this.state = "";
      await work.changed();
    })));
  }
}

/** By what it is known that a line is to be shown anew. @param {Traverse | null} line */
function keyOf(line) {
  return line ? `${line.id} ${line.state} ${line.trouble}` : "none";
}
