/** The drawings in a frame that the keyboard and the mouse move. */

import { path } from "../../lib/paths.js";
import { count } from "../../lib/words.js";
import * as model from "../../model/years.js";
import { h, link, refill } from "../parts/dom.js";
import * as drawing from "./drawing.js";

/** @typedef {import("../../model/years.js").Range} Range */
/** @typedef {import("../../model/years.js").View} View */
/** @typedef {import("../../model/years.js").Mark} Mark */
/** @typedef {ReturnType<typeof model.groups>} Groups */
/** @typedef {{ range: (range: Range) => void, at: (key: string) => void, open: (key: string) => void, step: (by: number) => void }} Deeds */

const CLOSER = 0.8;
const FAR = 0.2;

export class Board {
  /**
   * @param {string} code @param {Range} whole @param {View} view @param {Groups} groups
   * @param {{ phases: any[], marks: Mark[], labels: Map<string, string> }} record @param {Deeds} deeds @param {AbortSignal} signal
   */
  constructor(code, whole, view, groups, record, deeds, signal) {
    this.code = code;
    this.whole = whole;
    this.view = view;
    this.groups = groups;
    this.record = record;
    this.deeds = deeds;
    this.width = 900;
    this.head = h("div", { class: "yearshead" });
    this.inner = h("div", { class: "yearsbody" });
    const many = groups.reduce((total, one) => total + one.generations.length, 0);
    this.element = h("div", {
      class: "yearsboard", tabindex: 0, role: "group",
      "aria-label": `Axis of years: ${count(many, "generation")} of ${count(groups.length, "space")}. Up and Down choose a generation, Left and Right move along the years, + and - come closer or go back, 0 shows all, Enter opens the chart of the space. The same stands in words below.`,
      onkeydown: (/** @type {KeyboardEvent} */ event) => this.key(event),
      onwheel: (/** @type {WheelEvent} */ event) => this.wheel(event),
      onpointerdown: (/** @type {PointerEvent} */ event) => this.drag(event),
      ondblclick: (/** @type {MouseEvent} */ event) => this.deeds.range(model.zoomed(this.range(), 0.5, this.yearAt(event), whole)),
    }, this.head, this.inner);
    const watcher = new ResizeObserver(() => this.fit());
    watcher.observe(this.element);
    signal.addEventListener("abort", () => watcher.disconnect(), { once: true });
    this.draw();
  }

  range() {
    return this.view.range ?? this.whole;
  }

  fit() {
    const width = this.element.clientWidth;
    if (width > 0 && Math.abs(width - this.width) > 1) {
      this.width = width;
      this.draw();
    }
  }

  left() {
    return this.width < 900 ? 96 : 190;
  }

  frame() {
    const left = this.left();
    return { range: this.range(), left, width: Math.max(120, this.width - left - 14), view: this.view, labels: this.record.labels };
  }

  draw() {
    const frame = this.frame();
    refill(this.head, drawing.axis(frame));
    const { phases, marks } = this.record;
    const whole = phases.length + marks.length > 0 && h("section", null, h("h2", null, "Whole structure"), drawing.structure(frame, phases, marks));
    refill(this.inner, whole, this.groups.map((one) => h("section", null,
      h("h2", null, link(path("projects", this.code, "spaces", one.space), `Space ${one.space}`)), drawing.space(frame, one.marks, one.generations))));
  }

  /** @param {string} key */
  reveal(key) {
    for (const one of this.inner.querySelectorAll("[data-generation]")) {
      if (one instanceof SVGElement && one.dataset["generation"] === key) one.scrollIntoView({ block: "nearest" });
    }
  }

  /** @param {number} share */
  zoom(share) {
    const range = this.range();
    this.deeds.range(model.zoomed(range, share, (range.from + range.to) / 2, this.whole));
  }

  /** @param {number} share of what is shown */
  pan(share) {
    const range = this.range();
    const by = (range.to - range.from) * share;
    this.deeds.range(model.panned(range, by < 0 ? Math.min(-1, by) : Math.max(1, by), this.whole));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (event.target !== this.element || event.ctrlKey || event.metaKey || event.altKey) return;
    /** @type {Record<string, () => void>} */
    const keys = {
      ArrowUp: () => this.deeds.step(-1), ArrowDown: () => this.deeds.step(1), ArrowLeft: () => this.pan(-FAR), ArrowRight: () => this.pan(FAR),
      "+": () => this.zoom(CLOSER), "=": () => this.zoom(CLOSER), "-": () => this.zoom(1 / CLOSER), "0": () => this.deeds.range(this.whole),
      Enter: () => this.view.at && this.deeds.open(this.view.at),
    };
    const act = keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  }

  /** The wheel scrolls the page as everywhere; with Ctrl it comes closer. @param {WheelEvent} event */
  wheel(event) {
    if (!event.ctrlKey) return;
    event.preventDefault();
    this.deeds.range(model.zoomed(this.range(), event.deltaY < 0 ? CLOSER : 1 / CLOSER, this.yearAt(event), this.whole));
  }

  /** @param {MouseEvent} event */
  yearAt(event) {
    const { range, width, left } = this.frame();
    const share = (event.clientX - this.element.getBoundingClientRect().left - left) / width;
    return range.from + Math.min(1, Math.max(0, share)) * (range.to - range.from);
  }

  /** Dragging moves along the years; pressing without moving chooses the generation pressed. @param {PointerEvent} down */
  drag(down) {
    if (down.button !== 0 || (down.target instanceof Element && down.target.closest("a"))) return;
    const before = this.range();
    const share = (before.to - before.from) / this.frame().width;
    let moved = false;
    const move = (/** @type {PointerEvent} */ event) => {
      const by = (down.clientX - event.clientX) * share;
      if (!moved && Math.abs(event.clientX - down.clientX) < 5) return;
      moved = true;
      this.deeds.range(model.panned(before, by, this.whole));
    };
    const up = () => {
      removeEventListener("pointermove", move);
      removeEventListener("pointerup", up);
      removeEventListener("pointercancel", up);
      const row = down.target instanceof Element ? down.target.closest("[data-generation]") : null;
      if (!moved && row instanceof SVGElement) this.deeds.at(row.dataset["generation"] ?? "");
    };
    addEventListener("pointermove", move);
    addEventListener("pointerup", up);
    addEventListener("pointercancel", up);
  }
}
