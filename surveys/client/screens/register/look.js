/** Which columns are shown, in which order, and how rows are sorted and grouped: everything that the mouse does at the heads, by keyboard too. */

import { frozen, frozenUpTo, ordered, shown } from "../../model/sheet/shown.js";
import { button, h, newId, refill } from "../parts/dom.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/address.js").Look} Look */
/** @typedef {import("../../model/sheet/columns.js").Column} Column */

const LEVELS = 3;
const GAP = 12;

/** @param {Desk} desk @param {(look: Partial<Look>) => void} show */
export function lookPanel(desk, show) {
  const place = h("div", { class: "panel" });
  const panel = h("details", { class: "drop-down", ontoggle: () => panel.open && draw() }, h("summary", null, "Columns, sorting, groups"), place);
  closeWithEscape(panel);
  const draw = () => refill(place, groupChoice(desk, show), sortChoice(desk, show), columnChoice(desk, (look) => {
    const before = document.activeElement?.getAttribute("data-keep") ?? "";
    show(look);
    draw();
    const again = before && place.querySelector(`[data-keep="${CSS.escape(before)}"]`);
    if (again instanceof HTMLElement) again.focus();
  }));
  return panel;
}

/** @param {HTMLDetailsElement} panel */
export function closeWithEscape(panel) {
  panel.addEventListener("toggle", () => withinWindow(panel));
  panel.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !panel.open) return;
    panel.open = false;
    panel.querySelector("summary")?.focus();
  });
  panel.addEventListener("focusout", (event) => {
    if (event.relatedTarget instanceof Node && !panel.contains(event.relatedTarget)) panel.open = false;
  });
}

/** What drops down is moved to the left as far as the window asks. @param {HTMLDetailsElement} panel */
function withinWindow(panel) {
  const place = panel.querySelector(".panel");
  if (!panel.open || !(place instanceof HTMLElement)) return;
  place.style.left = "0";
  place.style.left = `${Math.min(0, innerWidth - GAP - place.getBoundingClientRect().right)}px`;
}

/** @param {Desk} desk @param {(look: Partial<Look>) => void} show */
function groupChoice(desk, show) {
  if (desk.kind.groups.length === 0) return null;
  const choices = Array.from({ length: Math.min(LEVELS, desk.kind.groups.length) }, (_, level) => {
    const made = select(level === 0 ? "Group by" : "then by", [["", "nothing"], ...desk.kind.groups], desk.look.groups[level] ?? "", () => {
      show({ groups: [...new Set(choices.map((one) => one.input.value).filter(Boolean))] });
    });
    return made;
  });
  return h("fieldset", null, h("legend", null, "Groups"), choices.map((one) => one.element));
}

/** @param {Desk} desk @param {(look: Partial<Look>) => void} show */
function sortChoice(desk, show) {
  const columns = [...desk.sheet.columns.values()].map((one) => /** @type {[string, string]} */ ([one.name, one.label]));
  /** @type {{ column: ReturnType<typeof select>, way: ReturnType<typeof select> }[]} */
  const choices = [];
  const say = () => show({ sort: choices.filter((one) => one.column.input.value !== "").map((one) => ({ name: one.column.input.value, down: one.way.input.value === "down" })) });
  for (let level = 0; level < LEVELS; level += 1) {
    const order = desk.look.sort[level];
    choices.push({
      column: select(level === 0 ? "Sort by" : "then by", [["", "nothing"], ...columns], order?.name ?? "", say),
      way: select("which way", [["up", "up"], ["down", "down"]], order?.down ? "down" : "up", say),
    });
  }
  return h("fieldset", null, h("legend", null, "Sorting"), choices.map((one) => h("div", { class: "pair" }, one.column.element, one.way.element)));
}

/** @param {Desk} desk @param {(look: Partial<Look>) => void} show */
function columnChoice(desk, show) {
  const all = ordered(desk.look, desk.sheet.columns.values());
  const names = all.map((one) => one.name);
  const hidden = new Set(desk.look.hidden ?? []);
  const visible = shown(desk.look, all);
  const last = visible[frozen(desk.look, all) - 1]?.name ?? "";
  const staying = select("Stay in sight up to", [["", "none"], ...visible.slice(0, -1).map((one) => /** @type {[string, string]} */ ([one.name, one.label]))], last, () => {
    show(staying.input.value === "" ? { frozen: 0 } : frozenUpTo(desk.look, all, staying.input.value));
  });
  staying.input.dataset["keep"] = "frozen";
  return h("fieldset", null, h("legend", null, "Columns"),
    staying.element,
    h("ul", { class: "columns" }, all.map((one, at) => columnItem(one, at, names, hidden, show))));
}

/** @param {Column} one @param {number} at @param {string[]} names @param {Set<string>} hidden @param {(look: Partial<Look>) => void} show */
function columnItem(one, at, names, hidden, show) {
  const box = h("input", { type: "checkbox", id: newId("column"), "data-keep": `show-${one.name}`, checked: !hidden.has(one.name), onchange: () => {
    if (box.checked) hidden.delete(one.name);
    else hidden.add(one.name);
    if (hidden.size < names.length) show({ hidden: hidden.size > 0 ? [...hidden] : null });
    else box.checked = true;
  } });
  const move = (/** @type {number} */ by) => {
    const order = [...names];
    order.splice(at, 1);
    order.splice(at + by, 0, one.name);
    show({ order });
  };
  return h("li", null, box, " ", h("label", { for: box.id }, one.label), " ",
    at > 0 && button("↑", () => move(-1), { class: "quiet", "aria-label": `${one.label}: further left`, "data-keep": `left-${one.name}` }),
    at < names.length - 1 && button("↓", () => move(1), { class: "quiet", "aria-label": `${one.label}: further right`, "data-keep": `right-${one.name}` }));
}

/** @param {string} label @param {readonly (readonly [string, string])[]} choices @param {string} value @param {() => void} changed */
function select(label, choices, value, changed) {
  const input = h("select", { id: newId("choice"), onchange: changed }, choices.map(([name, text]) => h("option", { value: name, selected: name === value }, text)));
  return { input, element: h("div", { class: "field" }, h("label", { for: input.id }, label), input) };
}
