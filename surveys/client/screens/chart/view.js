/** The chart of a space on the screen: going about in it, choosing layers, ruling on them, looking closer. */

import { count } from "../../lib/words.js";
import { chosenWords, still } from "../../model/chart/choosing.js";
import { byLayer } from "../../model/chart/foretold.js";
import { layerAt, layout, zoomOf } from "../../model/chart/layout.js";
import { HEAD, moved, settled, start } from "../../model/chart/moving.js";
import { h, refill } from "../parts/dom.js";
import { announce } from "../parts/say.js";
import { Talking } from "../parts/talking.js";
import { cite, rule, talk } from "./doing.js";
import { generationPanel } from "./generation_panel.js";
import { layerPanel } from "./layer_panel.js";
import { Surface } from "./surface.js";
import { Tools } from "./tools.js";
import { Tray } from "./tray.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Chart} Chart */
/** @typedef {import("../../model/types.js").Cell} Cell */
/** @typedef {import("../../model/types.js").Ruling} Ruling */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("../../model/chart/layout.js").Place} Place */
/** @typedef {import("../../model/chart/layout.js").Zoom} Zoom */
/** @typedef {{ chart: Chart, rulings: Ruling[], generations: Row[] }} Data */
/** @typedef {{ kind: "layer" | "generation", id: string }} Opened */

export class ChartView {
  /** @param {Visit} visit @param {import("../../model/types.js").Project} project @param {Data} data @param {boolean} writes @param {() => Promise<void>} refresh */
  constructor(visit, project, data, writes, refresh) {
    const { code } = project;
    this.code = code;
    this.talking = new Talking(visit, project, ["layer", "generation"], () => this.show());
    this.data = data;
    this.writes = writes;
    this.refresh = refresh;
    this.typing = false;
    /** @type {Visit} */
    this.visit = { ...visit, unsaved: (typing) => {
      this.typing = typing;
      visit.unsaved(typing || this.tray.proposals.length > 0);
    } };
    this.made = layout(data.chart);
    this.zoom = zoomOf(visit.query.get("zoom"));
    /** @type {string[]} in the order in which they were chosen */
    this.chosen = [];
    /** @type {Opened | null} */
    this.opened = null;
    this.tray = new Tray({ ...visit, unsaved: () => visit.unsaved(this.typing || this.tray.proposals.length > 0) }, code, data.chart.space, {
      standing: () => this.data.rulings,
      changed: () => this.show(),
      goTo: (id) => this.goTo(this.made.places.get(id) ?? this.place),
      stored: () => this.refresh(),
      back: () => this.surface.focus(),
    });
    this.panel = h("aside", { class: "chartpanel", "aria-label": "Details", hidden: true, onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if (event.key === "Escape" && !this.typing && !event.defaultPrevented) this.close();
    } });
    this.place = this.placeOf(visit.query.get("cell"), visit.query.get("row")) ?? start(this.made);
    this.surface = new Surface(this.look());
    this.tools = new Tools({ zoom: (zoom) => this.resize(zoom), rule: (kind) => rule(this, kind), preview: () => this.tray.ask(), details: () => this.open(), clear: () => this.choose([]), talk: () => talk(this), cite: () => cite(this) }, writes);
    this.element = h("div", { class: "chartview" }, this.tools.element, this.tray.element, h("div", { class: "stage" }, this.surface.element, this.panel));
    this.listen(visit);
    if (visit.query.get("open")) this.open(false);
    // Sizes are known once it stands in the page.
    requestAnimationFrame(() => {
      this.show();
      this.surface.goTo(this.place, false);
    });
    void this.talking.read();
  }

  /** @param {Visit} visit */
  listen(visit) {
    const grid = this.surface.element;
    grid.addEventListener("keydown", (event) => this.key(event));
    grid.addEventListener("focusin", (event) => this.focused(event));
    grid.addEventListener("click", (event) => this.clicked(event));
    grid.addEventListener("dblclick", () => this.open());
    const paper = matchMedia("print");
    paper.addEventListener("change", () => this.surface.print(paper.matches), { signal: visit.signal });
  }

  // -- what is shown ------------------------------------------------------------------------------------------------

  /** @returns {import("./surface.js").Look} */
  look() {
    const { chart } = this.data;
    const chosen = new Set(this.chosen);
    const changes = this.tray.preview && !this.tray.preview.refused ? byLayer(this.tray.preview) : new Map();
    const open = this.opened;
    const opened = open?.kind === "generation" ? (chart.generations.find((one) => one.id === open.id)?.ordinal ?? null) : null;
    return {
      made: this.made, zoom: this.zoom, place: this.place, opened, talk: (id) => this.talking.marks.on(id),
      label: `Generation chart of space ${chart.space}: ${count(chart.samples.length, "sample")} as columns, ${count(chart.generations.length, "generation")} as rows, oldest at the foot`,
      extra: (cell) => ({ chosen: chosen.has(cell.layer_id), proposed: this.tray.on(cell.layer_id), change: changes.get(cell.layer_id) ?? null,
        writes: this.writes, opened: open?.kind === "layer" && open.id === cell.layer_id, talk: this.talking.marks.on(cell.layer_id) }),
    };
  }

  show() {
    this.surface.show(this.look());
    this.tools.show(this.zoom, this.writes ? chosenWords(this.cells()) : "");
  }

  /** The record has changed: show it, and keep one's place, choice and proposals. @param {Data} data */
  update(data) {
    const here = layerAt(this.made, this.place);
    const before = JSON.stringify([this.data.chart.cells, this.data.chart.generations.map((one) => one.ordinal)]);
    this.data = data;
    this.made = layout(data.chart);
    this.place = (here && this.made.places.get(here.layer_id)) ?? settled(this.made, this.place);
    this.chosen = still(this.chosen, data.chart);
    const lasting = this.tray.proposals.filter((one) => still([one.first_id, ...(one.second_id ? [one.second_id] : [])], data.chart).length === (one.second_id ? 2 : 1));
    const anew = before !== JSON.stringify([data.chart.cells, data.chart.generations.map((one) => one.ordinal)]);
    if (lasting.length < this.tray.proposals.length || (anew && this.tray.preview)) this.tray.set(lasting);
    this.show();
    if (this.opened && !this.typing) this.fillPanel(this.panel.contains(document.activeElement));
  }

  /** The chosen layers, in the order in which they were chosen. */
  cells() {
    const known = new Map(this.data.chart.cells.map((cell) => [cell.layer_id, cell]));
    return this.chosen.flatMap((id) => known.get(id) ?? []);
  }

  // -- where one is ---------------------------------------------------------------------------------------------------

  /** @param {string | null} layer @param {string | null} row @returns {Place | null} */
  placeOf(layer, row) {
    const cell = this.data.chart.cells.find((one) => one.layer === layer);
    if (cell) return this.made.places.get(cell.layer_id) ?? null;
    const index = this.made.rows.findIndex((one) => row !== null && String(one.ordinal) === row);
    return index >= 0 ? { row: index, column: HEAD, at: 0 } : null;
  }

  /** @param {Place} place */
  goTo(place) {
    this.place = place;
    this.surface.goTo(place, true);
    this.follow();
  }

  /** Open details follow where one goes; the address tells where one is. */
  follow() {
    const cell = layerAt(this.made, this.place);
    if (this.opened?.kind === "layer" && cell && cell.layer_id !== this.opened.id && !this.typing) {
      this.opened = { kind: "layer", id: cell.layer_id };
      this.fillPanel(false);
    }
    this.told();
  }

  told() {
    const cell = layerAt(this.made, this.place);
    const row = this.place.column === HEAD ? this.made.rows[this.place.row]?.ordinal : null;
    const query = new URLSearchParams(location.search);
    for (const [name, value] of /** @type {const} */ ([["zoom", this.zoom === "usual" ? "" : this.zoom], ["cell", cell?.layer ?? ""], ["row", row ?? ""], ["open", this.opened ? "1" : ""]])) {
      if (value === "") query.delete(name);
      else query.set(name, String(value));
    }
    history.replaceState(null, "", `${location.pathname}${query.size ? `?${query}` : ""}`);
  }

  /** @param {FocusEvent} event */
  focused(event) {
    const place = event.target instanceof Element ? this.surface.placeOf(event.target) : null;
    if (!place || (place.row === this.place.row && place.column === this.place.column && place.at === this.place.at)) return;
    this.place = place;
    this.surface.goTo(place, false);
    this.follow();
  }

  /** @param {Zoom} zoom */
  resize(zoom) {
    this.zoom = zoom;
    this.show();
    this.surface.goTo(this.place, false);
    this.told();
  }

  // -- keys and mouse ---------------------------------------------------------------------------------------------------

  /** @param {KeyboardEvent} event */
  key(event) {
    const far = event.ctrlKey || event.metaKey;
    const next = event.altKey || event.shiftKey ? null : moved(this.made, this.place, event.key, far);
    if (next) {
      event.preventDefault();
      this.goTo(next);
      return;
    }
    if (far || event.altKey) return;
    const deed = this.deeds()[event.key.toLowerCase()];
    if (!deed) return;
    event.preventDefault();
    deed();
  }

  /** @returns {Record<string, () => void>} */
  deeds() {
    const always = { enter: () => this.open(), c: () => talk(this), escape: () => (this.opened ? this.close() : this.choose([])) };
    if (!this.writes) return always;
    return { ...always, " ": () => this.toggle(), t: () => rule(this, "tie"), b: () => rule(this, "bar"), h: () => rule(this, "hold"), p: () => { this.tray.ask(); } };
  }

  /** @param {MouseEvent} event */
  clicked(event) {
    const target = event.target instanceof Element ? event.target : null;
    const place = target && this.surface.placeOf(target);
    if (!target || !place) return;
    this.goTo(place);
    if (target.closest(".talkmark")) talk(this);
    else if (place.column === HEAD || (!this.writes && target.closest(".chip"))) this.open(false);
    else if (target.closest(".chip") && event.detail < 2) this.toggle();
  }

  toggle() {
    const cell = layerAt(this.made, this.place);
    const row = this.made.rows[this.place.row];
    const ids = cell ? [cell.layer_id] : this.place.column === HEAD && row ? this.data.chart.cells.filter((one) => one.generation === row.ordinal).map((one) => one.layer_id) : [];
    const all = ids.every((id) => this.chosen.includes(id));
    this.choose(all ? this.chosen.filter((id) => !ids.includes(id)) : [...this.chosen, ...ids.filter((id) => !this.chosen.includes(id))]);
  }

  /** @param {string[]} ids */
  choose(ids) {
    this.chosen = ids;
    this.show();
    announce(chosenWords(this.cells()));
    if (this.opened?.kind === "generation" && !this.typing) this.fillPanel(false);
  }

  /** Go to the first of some layers, and choose them all if one may rule on them. @param {string[]} ids */
  pick(ids) {
    const place = this.made.places.get(ids[0] ?? "");
    if (place) this.goTo(place);
    if (this.writes) this.choose(ids);
    this.element.scrollIntoView({ block: "start" });
    this.surface.focus();
  }

  // -- details ----------------------------------------------------------------------------------------------------------

  /** Look closer at what one is at. @param {boolean} [focus] */
  open(focus = true) {
    const cell = layerAt(this.made, this.place);
    const generation = this.place.column === HEAD ? this.made.rows[this.place.row]?.generation : null;
    if (cell) this.opened = { kind: "layer", id: cell.layer_id };
    else if (generation) this.opened = { kind: "generation", id: generation.id };
    else return;
    this.fillPanel(focus);
    this.show();
    this.told();
  }

  close() {
    this.opened = null;
    this.visit.unsaved(false);
    this.panel.hidden = true;
    refill(this.panel);
    this.show();
    this.surface.goTo(this.place, true);
    this.told();
  }

  /** @param {boolean} focus */
  fillPanel(focus) {
    const shown = this.opened && this.shown(this.opened);
    if (!shown) {
      this.close();
      return;
    }
    refill(this.panel, shown.element);
    this.panel.hidden = false;
    if (focus) shown.heading.focus();
  }

  /** @param {Opened} opened */
  shown(opened) {
    const { chart, rulings, generations } = this.data;
    if (opened.kind === "layer") {
      const cell = chart.cells.find((one) => one.layer_id === opened.id);
      return cell ? layerPanel(this.code, cell, chart, rulings, this.visit.signal, () => this.close()) : null;
    }
    const generation = chart.generations.find((one) => one.id === opened.id);
    return generation ? generationPanel({ visit: this.visit, code: this.code, generation, row: generations.find((one) => one.id === opened.id), chart,
      chosen: this.cells(), writes: this.writes, close: () => this.close(), stored: () => this.refresh() }) : null;
  }
}
