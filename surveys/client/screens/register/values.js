/** The values that a column holds, with how many rows each; the rows of those that are ticked are shown. */

import { folded } from "../../model/sheet/filters.js";
import { narrowed, present } from "../../model/sheet/values.js";
import { button, h, newId, refill } from "../parts/dom.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/columns.js").Column} Column */
/** @typedef {import("../../model/sheet/values.js").Value} Value */

const MOST = 200;

/** @param {Desk} desk @param {Column} column @param {(said: string) => void} filter */
export function valueChoice(desk, column, filter) {
  const list = h("div", { class: "values", role: "group", "aria-label": "Values" });
  const told = h("p", { class: "hint", role: "status" });
  const search = h("input", { type: "search", id: newId("values"), autocomplete: "off", oninput: () => draw(), onkeydown: (/** @type {KeyboardEvent} */ event) => {
    if (event.key === "ArrowDown") walk(0);
    else if (event.key === "Enter" && search.value.trim() !== "") only(found());
    else return;
    event.preventDefault();
  } });
  const [tick, untick] = [button("", () => put(true), { class: "quiet" }), button("", () => put(false), { class: "quiet" })];
  /** @type {(() => void)[]} */
  const listeners = [];
  let all = present(desk.sheet, desk.look, column.name);
  list.addEventListener("keydown", (event) => {
    const at = boxes().indexOf(/** @type {HTMLInputElement} */ (event.target));
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: boxes().length - 1 }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    if (to < 0) search.focus();
    else walk(to);
  });

  function boxes() {
    return [...list.querySelectorAll("input")];
  }

  /** One stop of the Tab key for the whole list; the arrows walk it. @param {number} to */
  function walk(to) {
    const every = boxes();
    const next = every[Math.min(to, every.length - 1)];
    for (const one of every) one.tabIndex = one === next ? 0 : -1;
    next?.focus();
  }

  function found() {
    const wanted = folded(search.value);
    return wanted === "" ? all : all.filter((one) => (one.key === "" ? "(blank)" : one.key).includes(wanted));
  }

  function draw() {
    const some = found();
    refill(list, some.slice(0, MOST).map((one, at) => item(one, at)));
    tick.textContent = some.length < all.length ? "Tick those found" : "Tick all";
    untick.textContent = some.length < all.length ? "Untick those found" : "Untick all";
    const more = some.length > MOST ? `The first ${MOST} of ${some.length.toLocaleString("en-GB")} values. Search for the others.` : "";
    told.textContent = some.length === 0 ? "No value is like this." : more;
  }

  /** @param {Value} one @param {number} at */
  function item(one, at) {
    const box = h("input", { type: "checkbox", id: newId("value"), checked: one.shown, tabindex: at === 0 ? 0 : -1, onchange: () => {
      if (!say(all.map((other) => (other === one ? { ...other, shown: box.checked } : other)))) box.checked = !box.checked;
    } });
    return h("div", null, box, h("label", { for: box.id }, h("span", { class: one.key === "" ? "blank" : "" }, one.text || "(blank)"), h("span", { class: "many" }, one.count.toLocaleString("en-GB"))));
  }

  /** @param {readonly Value[]} some */
  function only(some) {
    const wanted = new Set(some);
    if (say(all.map((one) => ({ ...one, shown: wanted.has(one) })))) draw();
  }

  /** @param {boolean} on whether those that are found are shown too, or left out */
  function put(on) {
    const wanted = new Set(found());
    if (say(all.map((one) => (wanted.has(one) ? { ...one, shown: on } : one)))) draw();
  }

  /** @param {Value[]} values @returns {boolean} whether it was done */
  function say(values) {
    const { said, refusal } = narrowed(column, values, desk.look.filters[column.name] ?? "");
    told.textContent = refusal;
    if (refusal) return false;
    for (const [at, one] of values.entries()) Object.assign(all[at] ?? {}, { shown: one.shown });
    filter(said);
    for (const listener of listeners) listener();
    return true;
  }

  draw();
  return {
    element: h("div", { class: "valuechoice" },
      h("div", { class: "field" }, h("label", { for: search.id }, "Find a value"), search),
      h("div", { class: "buttons" }, tick, untick),
      list, told),
    refresh() {
      all = present(desk.sheet, desk.look, column.name);
      draw();
    },
    /** @param {() => void} listener */
    listen(listener) {
      listeners.push(listener);
    },
  };
}
