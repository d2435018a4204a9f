/** The boundaries along a line in a person's hand: dragged on the picture, moved by keys, split, merged, undone; and saved by themselves. */

import { changeTraverse } from "../../api/pictures.js";
import { isStop } from "../../api/http.js";
import { length, nearest } from "../../lib/plane.js";
import { afterFailure } from "../../lib/waits.js";
import { Lost, Problem } from "../../model/problems.js";
import { Cuts, cutsOf } from "../../model/pictures/cuts.js";
import { button, h, refill } from "../parts/dom.js";
import { announce, refusals } from "../parts/say.js";
import { drawnCuts } from "./drawn.js";
import { drawnFormer } from "./former.js";

/** @typedef {import("../../lib/plane.js").Point} Point */
/** @typedef {import("../../model/pictures/types.js").Traverse} Traverse */
/** @typedef {import("./overlay.js").Shape} Shape */
/** @typedef {import("./tool.js").Tool} Tool */
/** @typedef {import("./work.js").PictureWork} PictureWork */

/** For the help. @type {readonly (readonly [key: string, text: string])[]} */
export const CUT_KEYS = [
  ["N, P", "on a line that was read: choose the next or previous boundary; Escape lets go of it"],
  ["arrow keys", "move the chosen boundary by 1 px, right and up towards the surface; with Shift by 10"],
  ["S", "split the layer above the chosen boundary"], ["X, Delete", "take the chosen boundary away: the layers beside it become one"],
  ["Z, Y", "undo what was done to the boundaries, and do it again"],
];

const PAUSE = 600;
/** The service, or what it stands on, is away for a while. */
const AWAY = new Set([502, 503, 504]);

/** @implements {Tool} */
export class Cutting {
  /** @param {PictureWork} work @param {Traverse} line @param {() => void} changed told whenever boundaries, the choice among them or what was read changed */
  constructor(work, line, changed) {
    this.work = work;
    this.line = line;
    this.changed = changed;
    this.cuts = new Cuts(cutsOf(line.layers), length(line.path));
    this.cross = false;
    this.shared = true;
    this.chosen = -1;
    this.lit = 0;
    this.held = -1;
    this.due = 0;
    /** @type {Promise<void>} */
    this.sending = Promise.resolve();
    this.unsaved = false;
    this.saving = false;
    this.failures = 0;
    /** What stood here by hand before the line was read anew. @type {import("../../model/pictures/former.js").Former | null} */
    this.former = null;
    this.problem = refusals();
    this.told = h("div");
    this.place = h("div", null, this.told, this.problem.place);
  }

  /** @returns {Shape[]} */
  shapes() {
    return [...(this.former ? drawnFormer(this.former) : []), ...drawnCuts(this.line, this.cuts.all, this.chosen, this.lit)];
  }

  /** @param {Point} point */
  clicked(point) {
    const { far, off } = nearest(this.line.path, point);
    if (off <= this.line.width_px) this.choose(this.cuts.nearest(far));
  }

  /** @param {Point} point @param {number} near */
  taken(point, near) {
    if (!this.work.writes) return false;
    const { far, off } = nearest(this.line.path, point);
    const at = this.cuts.nearest(far);
    this.held = off <= this.line.width_px / 2 + near && Math.abs((this.cuts.all[at] ?? Infinity) - far) <= near ? at : -1;
    if (this.held >= 0) this.choose(this.held);
    return this.held >= 0;
  }

  /** @param {Point} point */
  dragged(point) {
    this.cuts.put(this.held, nearest(this.line.path, point).far);
    this.changed();
  }

  dropped() {
    this.held = -1;
    this.cuts.steps.rest();
    this.saveSoon();
  }

  /** @param {KeyboardEvent} event */
  key({ key, shiftKey }) {
    const { cuts, chosen } = this;
    const many = cuts.all.length;
    const lower = key.toLowerCase();
    const way = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[key];
    if (lower === "n" && many) this.choose((chosen + 1) % many);
    else if (lower === "p" && many) this.choose(chosen <= 0 ? many - 1 : chosen - 1);
    else if (key === "Escape" && chosen >= 0) this.choose(-1);
    else if (!this.work.writes) return false;
    else if (way && chosen >= 0) this.doneBy(() => cuts.move(chosen, way * (shiftKey ? 10 : 1)));
    else if (lower === "s" && chosen >= 0) this.split(chosen + 1);
    else if ((lower === "x" || key === "Delete" || key === "Backspace") && chosen >= 0) this.merge(chosen);
    else if (lower === "z") this.doneBy(() => cuts.undo());
    else if (lower === "y") this.doneBy(() => cuts.redo());
    else return false;
    return true;
  }

  /** @param {number} layer */
  split(layer) {
    this.doneBy(() => this.cuts.split(Math.min(layer, this.cuts.all.length - 1)));
  }

  /** @param {number} at */
  merge(at) {
    this.doneBy(() => this.cuts.merge(at));
  }

  /** @param {() => string} deed */
  doneBy(deed) {
    const before = this.cuts.all;
    announce(deed());
    this.chosen = this.chosen < 0 ? -1 : Math.min(this.chosen, this.cuts.all.length - 1);
    if (this.cuts.all !== before) this.saveSoon();
    this.changed();
  }

  /** @param {number} at */
  choose(at) {
    if (at === this.chosen) return;
    this.chosen = at;
    this.cuts.steps.rest();
    announce(at < 0 ? "No boundary is chosen." : `Boundary ${at + 1} of ${this.cuts.all.length}, at ${this.cuts.all[at]} px.`);
    this.changed();
  }

  saveSoon() {
    this.unsaved = true;
    this.tell(true);
    clearTimeout(this.due);
    this.due = window.setTimeout(() => this.save(), PAUSE);
  }

  /** Whether something is not saved; what comes late from a page that was left says nothing of the next one. @param {boolean} unsaved */
  tell(unsaved) {
    if (!this.work.visit.signal.aborted) this.work.visit.unsaved(unsaved);
  }

  /** One after the other, each upon the version that the one before it made. */
  save() {
    clearTimeout(this.due);
    if (!this.unsaved) return this.sending;
    this.unsaved = false;
    const wanted = this.cuts.all;
    this.sending = this.sending.then(() => this.send(wanted));
    return this.sending;
  }

  /** @param {number[]} boundaries */
  async send(boundaries) {
    this.saving = true;
    try {
      this.problem.clear();
      this.take(await changeTraverse(this.work.code, this.line, { boundaries }));
      this.failures = 0;
      refill(this.told);
      if (!this.unsaved) this.tell(false);
    } catch (error) {
      if (isStop(error)) return;
      if (error instanceof Lost || (error instanceof Problem && AWAY.has(error.status))) return this.later();
      this.problem.show(error);
      if (error instanceof Problem && error.status === 412 && error.current) this.overtaken(boundaries, error.current);
      else this.begun(this.line);
      this.unsaved = false;
      this.tell(false);
    } finally {
      this.saving = false;
    }
    this.changed();
  }

  /** The connection is lost: what is in hand is sent once it is back. */
  later() {
    if (this.work.visit.signal.aborted) return;
    refill(this.told, h("p", { class: "box", role: "status" }, "The connection is lost. The boundaries are not saved yet; they are when it is back."));
    this.unsaved = true;
    clearTimeout(this.due);
    this.due = window.setTimeout(() => this.save(), afterFailure(this.failures));
    this.failures += 1;
  }

  /** Somebody else was faster: theirs is shown, and what one did oneself can be put in its place. @param {number[]} mine @param {Traverse} current */
  overtaken(mine, current) {
    const same = JSON.stringify(current.path) === JSON.stringify(this.line.path) && current.state === "read";
    this.begun(current);
    refill(this.told, same && h("div", { class: "box" }, h("p", null, `Yours were at ${mine.map((one) => one.toLocaleString("en-GB", { maximumFractionDigits: 1 })).join("; ")} px from the foot of the line. What is shown is how they stand now.`),
      h("p", { class: "buttons" }, button("Put mine in their place", () => {
        refill(this.told);
        this.problem.clear();
        this.doneBy(() => this.cuts.steps.done(mine, "Your boundaries are put in their place."));
      }, { class: "quiet" }))));
  }

  /** What the service made of it. @param {Traverse} line */
  take(line) {
    this.line = line;
    this.work.lines = this.work.lines.map((one) => (one.id === line.id ? line : one));
    this.work.desk.lines = this.work.lines;
  }

  /** Begin anew with what stands now. @param {Traverse} line */
  begun(line) {
    this.take(line);
    this.cuts = new Cuts(cutsOf(line.layers), length(line.path));
    this.chosen = -1;
  }

  /** Back to what the program found; that can be undone too. */
  async asFound() {
    clearTimeout(this.due);
    await this.sending;
    try {
      this.take(await changeTraverse(this.work.code, this.line, { boundaries: null }));
    } catch (error) {
      // What was put before is sent after all.
      if (this.unsaved) this.saveSoon();
      throw error;
    }
    this.unsaved = false;
    this.chosen = -1;
    announce(this.cuts.steps.done(cutsOf(this.line.layers), "The boundaries are as they were found."));
    this.tell(false);
    this.changed();
  }
}
