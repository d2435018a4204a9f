/** Named views: what is shown of a register, kept under a name, for one person and project. */

import { isStop } from "../../api/http.js";
import { changeView, forgetView, keepView, savedViews } from "../../api/views.js";
import { path } from "../../lib/paths.js";
import { Problem } from "../../model/problems.js";
import { alike, called, formerly, fromQuery, kept, toQuery } from "../../model/sheet/address.js";
import { button, h, link, newId, refill } from "../parts/dom.js";
import { announce, busy, refusals, reportUnexpected } from "../parts/say.js";
import { closeWithEscape } from "./look.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/address.js").Look} Look */
/** @typedef {import("../../api/views.js").SavedView} SavedView */
/** @typedef {import("../parts/visit.js").Visit} Visit */

/** @param {Desk} desk @param {Visit} visit @param {string} code @param {(look: Partial<Look>) => void} show */
export function viewsPanel(desk, visit, code, show) {
  const register = desk.kind.name;
  const here = path("projects", code, "registers", register);
  const isColumn = (/** @type {string} */ name) => desk.sheet.columns.has(name);
  const problem = refusals();
  const list = h("ul", { class: "views" });
  const summary = h("summary");
  const name = h("input", { id: newId("view"), maxlength: 80, autocomplete: "off", required: true });
  const keep = h("button", { type: "submit" }, "Keep");
  const form = h("form", { onsubmit: (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    void busy(keep, problem, () => keepAs(name.value.trim()));
  } }, h("div", { class: "field" }, h("label", { for: name.id }, "Keep what is shown now as"), name), keep);
  const panel = h("details", { class: "drop-down", ontoggle: () => panel.open && void open() }, summary, h("div", { class: "panel" }, list, problem.place, form));
  closeWithEscape(panel);
  /** @type {SavedView[]} */
  let known = [];
  let asked = false;

  async function open() {
    draw();
    await moved;
    try {
      known = await savedViews(code, register, visit.signal);
      asked = true;
      problem.clear();
    } catch (error) {
      problem.show(error);
    }
    draw();
  }

  /** @param {string} text */
  async function keepAs(text) {
    // One of that name may have been kept in another window.
    known = await savedViews(code, register, visit.signal);
    const before = known.find((one) => one.name === text);
    const made = before ? await changeView(code, before, { arrangement: kept(desk.look) }) : await keepView(code, register, text, kept(desk.look));
    known = [...known.filter((one) => one.id !== made.id), made].sort((one, other) => one.name.localeCompare(other.name));
    name.value = "";
    show({ view: made.name });
    announce(before ? `The view ${text} is as shown now.` : `Kept as ${text}.`);
    draw();
  }

  /** @param {SavedView} view */
  async function forget(view) {
    await forgetView(code, view);
    known = known.filter((one) => one.id !== view.id);
    if (desk.look.view === view.name) show({ view: "" });
    announce(`Forgot ${view.name}.`);
    draw();
    summary.focus();
  }

  /** @param {SavedView} view */
  function item(view) {
    const look = called(view.name, view.arrangement, isColumn);
    const now = desk.look.view === view.name;
    const to = link(`${here}?${new URLSearchParams(toQuery(look))}`, view.name);
    if (now) to.setAttribute("aria-current", "true");
    const changed = now && !alike(look, desk.look);
    return h("li", null, to, changed && h("span", { class: "state" }, " – changed since "), " ",
      changed && button("Keep the changes", (event) => void busy(/** @type {HTMLButtonElement} */ (event.currentTarget), problem, () => keepAs(view.name)), { class: "quiet" }), " ",
      button("Forget", (event) => void busy(/** @type {HTMLButtonElement} */ (event.currentTarget), problem, () => forget(view)), { class: "quiet", "aria-label": `Forget the view ${view.name}` }));
  }

  function draw() {
    summary.textContent = desk.look.view ? `View: ${desk.look.view}` : "Views";
    refill(list, h("li", null, link(here, "All, as it comes")), known.map(item), !asked && known.length === 0 && h("li", { class: "hint" }, "Reading your views …"));
  }

  const moved = moveOver(desk, visit, code).catch((error) => !isStop(error) && reportUnexpected(error));
  draw();
  return { element: panel, refresh: () => draw() };
}

/** Views were once kept in the browser; those that still are go to the service, once. @param {Desk} desk @param {Visit} visit @param {string} code */
async function moveOver(desk, visit, code) {
  const key = ["undercoat views", visit.person?.username ?? "", code, desk.kind.name].join("|");
  const text = localStorage.getItem(key);
  if (text === null) return;
  for (const [name, query] of formerly(text)) {
    const look = fromQuery(new URLSearchParams(query), (column) => desk.sheet.columns.has(column));
    await keepView(code, desk.kind.name, name, kept(look)).catch((error) => {
      // What is refused will be refused again: one of that name is there already.
      if (!(error instanceof Problem) || error.status === 401) throw error;
    });
  }
  localStorage.removeItem(key);
}
