/** The row of filters below the columns' heads. */

import { BLANK, NOT_BLANK } from "../model/sheet/filters.js";
import { freshId, make } from "./make.js";

/** @typedef {import("./surface.js").Surface} Surface */

const PAUSE = 300;
const MOST = 60;

/** @param {Surface} surface @param {HTMLElement} node @param {string} name */
export function filterRow(surface, node, name) {
  const { desk } = surface;
  const column = desk.sheet.column(name);
  const input = make("input", "filter", "", { type: "text", "aria-label": `Only ${column.label}`, autocomplete: "off", "data-filter": name });
  input.title = "Part of the text; =this or =this|that; 10..20, >=10; (blank), (not blank)";
  input.value = desk.look.filters[name] ?? "";
  input.classList.toggle("filtering", input.value !== "");
  const list = make("datalist", "", "", { id: freshId("filter") });
  input.setAttribute("list", list.id);
  let waiting = 0;
  const say = () => {
    clearTimeout(waiting);
    input.classList.toggle("filtering", input.value !== "");
    if ((desk.look.filters[name] ?? "") !== input.value) surface.host.filter(name, input.value);
  };
  input.addEventListener("focus", () => list.replaceChildren(...offers(surface, name).map((one) => make("option", "", "", { value: one }))));
  input.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(say, PAUSE);
  });
  input.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if (event.key === "Escape") input.value = "";
    if (event.key === "Enter" || event.key === "Escape") say();
    if (event.key === "ArrowDown" && event.altKey === false && input.value !== "") say();
  });
  node.replaceChildren(input, list);
}

/** What a column can be narrowed to: blank or not, its closed list, or the values that it holds where they are few. @param {Surface} surface @param {string} name */
function offers(surface, name) {
  const { sheet } = surface.desk;
  const column = sheet.column(name);
  const closed = sheet.context.words[column.words ?? ""];
  if (closed) return [BLANK, NOT_BLANK, ...closed.map((word) => `=${word}`)];
  const found = new Set();
  for (const id of sheet.ids()) {
    const text = sheet.text(id, name);
    if (text && text.length < 60) found.add(text);
    if (found.size > MOST) return [BLANK, NOT_BLANK];
  }
  return [BLANK, NOT_BLANK, ...[...found].sort((one, other) => one.localeCompare(other, "en-GB", { numeric: true })).map((text) => `=${text}`)];
}
