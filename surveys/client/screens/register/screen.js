/** A register as a grid: what one types is saved as one goes, what others write appears. */

import { Problem } from "../../model/problems.js";
import { isStop, wait } from "../../api/http.js";
import { project as readProject, vocabulary } from "../../api/records.js";
import { coloursOf } from "../../api/sheets.js";
import { path } from "../../lib/paths.js";
import { engine } from "../../grid/engine.js";
import { listenToClipboard } from "../../grid/clipboard.js";
import { fit } from "../../grid/fitting.js";
import { Keys } from "../../grid/keys.js";
import { Surface } from "../../grid/surface.js";
import { Swatches } from "../../grid/swatches.js";
import { SHEETS, sheetKind } from "../../model/sheet/columns.js";
import { fromQuery, toQuery } from "../../model/sheet/address.js";
import { Desk } from "../../model/sheet/desk.js";
import { References } from "../../model/sheet/references.js";
import { mayManage, maySee, mayWrite } from "../../model/roles.js";
import { alsoTell } from "../help.js";
import { button, h, link, refill } from "../parts/dom.js";
import { announce, purpose, refusals, reportUnexpected } from "../parts/say.js";
import { frozenUpTo, frozen as staying, reordered } from "../../model/sheet/shown.js";
import { columnPanel } from "./column.js";
import { GRID_KEYS } from "./keys.js";
import { lookPanel } from "./look.js";
import { Live } from "./live.js";
import { nothing } from "./nothing.js";
import { benchAddress, keptWidths } from "./places.js";
import { Talking } from "../parts/talking.js";
import { presence } from "./presence.js";
import { printed } from "./printed.js";
import { statusBar } from "./status.js";
import { undone } from "./undoing.js";
import { viewsPanel } from "./views.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Project} Project */
/** @typedef {import("../../model/sheet/columns.js").SheetKind} SheetKind */
/** @typedef {import("../../model/sheet/address.js").Look} Look */

/** @type {import("../parts/visit.js").Screen} */
export async function registerScreen(visit) {
  const code = visit.params["code"] ?? "";
  const kind = sheetKind(visit.params["register"] ?? "");
  if (!kind) throw new Problem(404, "not-found", "There is no such register.");
  const [project, words] = await Promise.all([readProject(code, visit.signal), vocabulary()]);
  if (!maySee(project.role)) throw new Problem(404, "not-found", "There is no such register.");
  const screen = new RegisterScreen(visit, project, kind, { ...words, project_classes: project.element_classes ?? [] });
  screen.begin().catch((error) => {
    if (isStop(error)) return;
    screen.problem.show(error);
    reportUnexpected(error);
  });
  return { title: kind.title, project, here: "registers", body: screen.body() };
}

export class RegisterScreen {
  /** @param {Visit} visit @param {Project} project @param {SheetKind} kind @param {Record<string, readonly string[]>} words */
  constructor(visit, project, kind, words) {
    this.visit = visit;
    this.project = project;
    this.kind = kind;
    const { signal } = visit;
    this.live = new Live(project.code, kind, visit.person?.username ?? "", signal, {
      say: (text) => this.say(text), changed: () => this.status.refresh(), loading: (loaded, whole) => this.status.loading(loaded, whole), renamed: () => this.surface?.repaintAll(), talked: () => void this.talking.read(),
    });
    this.desk = new Desk(kind, { words, references: new References() }, this.live.ways(), { writes: mayWrite(project.role) });
    this.desk.look = fromQuery(visit.query, (name) => this.desk.sheet.columns.has(name));
    /** @type {Surface | null} */
    this.surface = null;
    this.talking = new Talking(visit, project, [kind.type], (ids) => {
      this.desk.talk = this.talking.marks;
      this.surface?.repaint(ids);
    });
    this.swatches = new Swatches((notations) => coloursOf(notations, signal), () => this.surface?.coloured());
    this.problem = refusals();
    alsoTell("In the grid (⌘ does as Ctrl)", GRID_KEYS, signal);
    this.place = h("div", { class: "sheet", id: "sheet" });
    this.status = statusBar({
      desk: this.desk, here: () => this.surface?.here() ?? null, goTo: (id, name) => this.surface?.goTo(id, name), send: () => this.written(),
      waiting: () => this.live.waiting, by: (id) => this.live.by.get(id) ?? "", leave: () => this.surface?.access.focus(),
      address: (id) => path("projects", project.code, "registers", kind.name, id), unsaved: (any) => visit.unsaved(any),
      bench: (id) => benchAddress(project.code, this.desk, id),
    });
    this.search = h("input", { type: "search", id: "search", "data-search": true, value: this.desk.look.search, oninput: () => this.searched() });
    this.column = columnPanel(this.desk, (look) => this.look(look), (name, opener) => this.backFrom(name, opener), (name) => this.surface && fit(this.surface, name));
    this.nothing = nothing(this.desk, project.code, { all: () => this.all(), insert: () => this.insert(), imports: mayWrite(project.role) });
    this.views = viewsPanel(this.desk, visit, project.code, (look) => this.look(look));
    this.waiting = 0;
    this.widthsKey = ["undercoat widths", visit.person?.username, kind.name].join("|");
  }

  body() {
    const { visit, project, kind } = this;
    return [purpose(kind.purpose), h("div", { class: "registers" }, this.menu(), presence(visit, project.code, kind)), this.tools(), this.problem.place, h("div", { class: "sheetbox" }, this.place, this.nothing.element), this.status.element, this.column.element, printed(this.desk, project.name)];
  }

  menu() {
    return h("nav", { "aria-label": "Registers", class: "tabs" }, SHEETS.map((one) => {
      const made = link(path("projects", this.project.code, "registers", one.name), one.title);
      if (one === this.kind) made.setAttribute("aria-current", "page");
      return made;
    }));
  }

  tools() {
    const { desk } = this;
    const writes = desk.writes && [
      desk.makes && button("New row", () => this.insert()),
      button("Undo", () => undone(this, desk.undo(), "Undone")), button("Redo", () => undone(this, desk.redo(), "Done again")),
      button("Fill series", () => this.series()),
    ];
    return h("div", { class: "tools", role: "group", "aria-label": "Work on this register" },
      h("div", { class: "field" }, h("label", { for: "search" }, "Search"), this.search),
      lookPanel(desk, (look) => this.look(look)),
      this.views.element,
      button("Sort and filter anew", () => this.look({})),
      button("Comments", () => this.talk(), { title: "What is said about the cell in which you are (Shift+F2)" }),
      writes);
  }

  async begin() {
    const { live, desk, visit } = this;
    const grid = await engine();
    while (!this.place.isConnected) await wait(10, visit.signal);
    visit.signal.addEventListener("abort", () => this.end());
    addEventListener("pagehide", () => this.keep(), { signal: visit.signal });
    addEventListener("online", () => void live.send(), { signal: visit.signal });
    addEventListener("resize", () => this.fit(), { signal: visit.signal });
    this.watchAbove();
    void this.talking.read();
    await live.load(desk, this.project.cursor ?? 0, () => this.show(grid));
    this.surface?.lay();
    this.status.loading(desk.sheet.rows.size, null);
    this.nothing.refresh();
    await live.follow();
  }

  /** @param {import("../../grid/engine.js").Engine} grid */
  show(grid) {
    const { desk, visit } = this;
    const surface = new Surface(grid, this.place, desk, this.swatches, {
      moved: () => this.status.refresh(), written: () => this.written(), say: (text) => this.say(text),
      talk: (id, name) => this.talk(id, name),
      filter: (name, said) => this.look({ filters: { ...desk.look.filters, [name]: said } }),
      sort: (sort) => this.look({ sort }),
      resized: (widths) => localStorage.setItem(this.widthsKey, JSON.stringify(widths)),
      reordered: (names) => this.look(reordered(desk.look, desk.sheet.columns.values(), names)),
      column: (name, opener) => this.column.toggle(name, opener),
    }, keptWidths(this.widthsKey));
    this.surface = surface;
    new Keys(surface, {
      undo: () => undone(this, desk.undo(), "Undone"), redo: () => undone(this, desk.redo(), "Done again"),
      insert: () => this.insert(), remove: () => this.remove(), freeze: () => this.freeze(), talk: () => this.talk(),
      leave: (forward) => (forward ? this.status.focus() : this.search.focus()),
    }, visit.signal);
    listenToClipboard(surface, visit.signal);
    this.fit();
  }

  /** What is said above the page (that the connection is lost) moves the grid; who types is not disturbed by that. */
  watchAbove() {
    const above = document.querySelector(".connection");
    if (!above) return;
    const observer = new ResizeObserver(() => { if (!this.surface?.grid.getCellEditor()) this.fit(); });
    observer.observe(above);
    this.visit.signal.addEventListener("abort", () => observer.disconnect());
  }

  fit() {
    this.surface?.fit(this.status.element.offsetHeight + 20);
  }

  /** @param {string} text */
  say(text) {
    announce(text);
    this.status.say(text);
  }

  written() {
    void this.live.send();
    this.status.refresh();
  }

  searched() {
    clearTimeout(this.waiting);
    this.waiting = window.setTimeout(() => this.look({ search: this.search.value.trim() }), 300);
  }

  /** Show other rows or columns; the address says which. @param {Partial<Look>} look */
  look(look) {
    const { desk, surface } = this;
    surface?.commit();
    desk.arrange(look);
    const columns = ["hidden", "order", "frozen", "groups", "sort"].some((part) => part in look);
    if (columns) surface?.relay();
    else surface?.filtered();
    const query = new URLSearchParams(toQuery(desk.look)).toString();
    history.replaceState(null, "", query ? `${location.pathname}?${query}` : location.pathname);
    this.views.refresh();
    this.nothing.refresh();
    // What was said of an act before is said no longer.
    this.status.say("");
    announce(`${desk.order.length.toLocaleString("en-GB")} rows shown.`);
    if ("frozen" in look) this.sayStaying();
    this.status.refresh();
  }

  /** All up to the column in which one is stay in sight; once more, and none does. */
  freeze() {
    const { desk, surface } = this;
    const name = surface?.here()?.name;
    if (!surface || name === undefined) return;
    const wanted = frozenUpTo(desk.look, desk.sheet.columns.values(), name);
    this.look(wanted.frozen === desk.look.frozen ? { frozen: 0 } : wanted);
  }

  sayStaying() {
    const { desk, surface } = this;
    const [wanted, fit] = [staying(desk.look, desk.sheet.columns.values()), (surface?.grid.getOptions().frozenColumn ?? -1) + 1];
    const few = fit < Math.min(wanted, (surface?.names.length ?? 0) - 1);
    this.say(few ? `For ${wanted} columns to stay in sight this window is too narrow; ${fit} ${fit === 1 ? "stays" : "stay"}.` : `${fit === 0 ? "No column stays" : fit === 1 ? "The first column stays" : `The first ${fit} columns stay`} in sight.`);
  }

  /** @param {string} name @param {HTMLElement} opener */
  backFrom(name, opener) {
    const field = opener.classList.contains("filter") && this.place.querySelector(`[data-filter="${CSS.escape(name)}"]`);
    if (field instanceof HTMLElement) field.focus();
    else this.surface?.access.focus();
  }

  /** Open what is said about a cell; from the first column, about the whole record. @param {string} [id] @param {string} [name] */
  talk(id = this.surface?.here()?.id, name = this.surface?.here()?.name ?? "") {
    const { desk, kind } = this;
    if (id === undefined || this.surface?.here()?.entry.kind === "group") return;
    if (desk.sheet.born.has(id)) {
      this.say("This row is not saved yet. It can be commented on once it is.");
      return;
    }
    const whole = name === kind.key;
    this.talking.open({ type: kind.type, id, name: desk.sheet.text(id, kind.key), back: () => this.surface?.access.focus(), ...(whole ? {} : { field: name, label: desk.sheet.column(name).label }) });
  }

  all() {
    this.search.value = "";
    this.look({ search: "", filters: {} });
    this.search.focus();
  }

  insert() {
    const here = this.surface?.here();
    this.surface?.commit();
    const [made] = this.desk.insert(here?.entry.kind === "row" ? here.id : null);
    if (!made) return;
    this.surface?.goTo(made, this.surface.names.find((name) => this.desk.sheet.column(name).required && this.desk.sheet.text(made, name) === "") ?? here?.name);
    this.say("New row. It is saved once it has what it needs.");
    this.written();
  }

  remove() {
    const range = this.surface?.range();
    const ids = range?.ids ?? [];
    if (ids.length === 0 || !this.desk.writes) return;
    const known = ids.filter((id) => !this.desk.sheet.born.has(id)).length;
    const mine = !this.kind.bears || mayManage(this.project.role);
    const back = mine ? "Ctrl+Z brings them back." : "A coordinator of the project can bring them back.";
    if (this.kind.bears && known > 0 && !confirm(`Remove ${known} ${known === 1 ? this.kind.one : this.kind.title.toLowerCase()}, with all that hangs on them? ${back}`)) return;
    const many = this.desk.remove(ids);
    if (many === 0) return;
    this.say(`Removed ${many} ${many === 1 ? "row" : "rows"}. ${back}`);
    this.written();
  }

  series() {
    const range = this.surface?.range();
    if (range) this.say(`Filled ${this.desk.fillOn(range)} cells.`);
    this.written();
  }

  keep() {
    this.surface?.commit();
    this.live.keep();
  }

  end() {
    this.keep();
    this.live.stop();
    this.swatches.forget();
    this.surface?.destroy();
    this.surface = null;
    refill(this.place);
  }
}
