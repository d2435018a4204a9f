/** Narrowing a column by a part of its text, or by its first and last value. */

import { parse, ranged, write } from "../../model/sheet/filters.js";
import { h, newId } from "../parts/dom.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/columns.js").Column} Column */

const PAUSE = 300;

/** @param {Desk} desk @param {Column} column @param {(said: string) => void} filter */
export function boundsChoice(desk, column, filter) {
  const two = ranged(column);
  const fields = two ? [field(column, "From"), field(column, "up to")] : [field(column, "Contains")];
  const fault = h("p", { class: "fault", role: "status" });
  let waiting = 0;
  const now = () => parse(column, desk.look.filters[column.name] ?? "");

  function refresh() {
    const [first = "", second = ""] = said(column, now());
    for (const [at, text] of [first, second].entries()) {
      const input = fields[at]?.input;
      if (input && input !== document.activeElement) input.value = text;
    }
    fault.textContent = "";
  }

  function say() {
    clearTimeout(waiting);
    const [first = "", second = ""] = fields.map((one) => one.input.value.trim());
    const wanted = two ? { kind: /** @type {const} */ ("range"), low: first || null, high: second || null, within: true } : { kind: /** @type {const} */ ("text"), text: first };
    const text = write(column, wanted);
    const readable = !two || [first, second].every((one) => one === "" || parse(column, `${one}..`).kind === "range");
    fault.textContent = readable ? "" : "This is no number.";
    if (readable && text !== (desk.look.filters[column.name] ?? "")) filter(text);
  }

  for (const { input } of fields) {
    input.addEventListener("input", () => {
      clearTimeout(waiting);
      waiting = window.setTimeout(say, PAUSE);
    });
    input.addEventListener("keydown", (event) => event.key === "Enter" && say());
  }
  refresh();
  return { element: h("div", { class: "bounds" }, fields.map((one) => one.element), fault), refresh, focus: () => fields[0]?.input.focus() };
}

/** @param {Column} column @param {string} label */
function field(column, label) {
  const type = column.type === "date" ? "date" : "text";
  const input = h("input", { id: newId("bound"), type, autocomplete: "off", class: label === "Contains" ? "wide" : "" });
  if (type === "text" && ranged(column)) input.inputMode = column.type === "year" ? "text" : "decimal";
  return { input, element: h("div", { class: "field" }, h("label", { for: input.id }, label), input) };
}

/** What the fields show of a filter; one that they cannot say leaves them empty. @param {Column} column @param {import("../../model/sheet/filters.js").Filter} filter */
function said(column, filter) {
  if (filter.kind === "text") return [filter.text];
  if (filter.kind !== "range" || !filter.within) return [];
  if (column.type !== "date") return [filter.low ?? "", filter.high ?? ""];
  return [filled(filter.low, "-01-01"), filled(filter.high, "-12-31")];
}

/** A day where a bound is written as a year or month alone. @param {string | null} bound @param {string} rest */
function filled(bound, rest) {
  if (bound === null || bound.length === 10) return bound ?? "";
  if (bound.length === 4) return `${bound}${rest}`;
  const end = new Date(Date.UTC(Number(bound.slice(0, 4)), Number(bound.slice(5, 7)), 0));
  return rest === "-01-01" ? `${bound}-01` : end.toISOString().slice(0, 10);
}
