/** The heads of the columns: the button that opens what can be done with one, and the row of filters below. */

import { freshId, make } from "./make.js";

/** @typedef {import("./surface.js").Surface} Surface */

const PAUSE = 300;

/** @param {Surface} surface @param {HTMLElement} node @param {string} name */
export function menuButton(surface, node, name) {
  const { label } = surface.desk.sheet.column(name);
  // By keyboard it is opened from a cell or from the filter below, so it is no stop of its own.
  const button = make("button", "columnmenu", "▾", { type: "button", tabindex: "-1", "aria-label": `${label}: sort, filter, freeze, hide`, "aria-haspopup": "dialog", "data-menu": name });
  button.title = "Sort, filter, freeze, hide";
  button.addEventListener("click", (event) => {
    event.stopPropagation();
    surface.host.column(name, button);
  });
  // Else the library would begin to drag the column.
  for (const kind of ["pointerdown", "mousedown", "touchstart"]) button.addEventListener(kind, (event) => event.stopPropagation());
  node.append(button);
  node.classList.toggle("filtered", Boolean(surface.desk.look.filters[name]));
}

/** @param {Surface} surface @param {HTMLElement} node @param {string} name */
export function filterRow(surface, node, name) {
  const { desk } = surface;
  const hint = make("span", "hidden", "Part of the text, or as in =this, =this|that, 10..20, >=10, (blank). Alt and arrow down opens the list of values.", { id: freshId("filterhint") });
  const input = make("input", "filter", "", { type: "text", "aria-label": `Only ${desk.sheet.column(name).label}`, "aria-describedby": hint.id, autocomplete: "off", "data-filter": name });
  input.title = "Part of the text; =this or =this|that; !=this; 10..20, >=10; (blank), (not blank). Alt+↓ opens the list of values.";
  mark(input, desk.look.filters[name] ?? "");
  let waiting = 0;
  const say = () => {
    clearTimeout(waiting);
    if ((desk.look.filters[name] ?? "") !== input.value) surface.host.filter(name, input.value);
  };
  input.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(say, PAUSE);
  });
  input.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if (event.key === "Escape") input.value = "";
    if (event.key === "Enter" || event.key === "Escape") say();
    if (event.key === "ArrowDown" && event.altKey) {
      event.preventDefault();
      say();
      surface.host.column(name, input);
    }
  });
  node.replaceChildren(input, hint);
}

/** Say in the fields what the filters are now; what is being typed there stays. @param {Surface} surface */
export function showFilters(surface) {
  for (const input of surface.place.querySelectorAll("input.filter")) {
    if (input instanceof HTMLInputElement) mark(input, surface.desk.look.filters[input.dataset["filter"] ?? ""] ?? "", input === document.activeElement);
  }
  for (const button of surface.place.querySelectorAll(".columnmenu")) {
    const name = /** @type {HTMLElement} */ (button).dataset["menu"] ?? "";
    button.parentElement?.classList.toggle("filtered", Boolean(surface.desk.look.filters[name]));
  }
}

/** @param {HTMLInputElement} input @param {string} said @param {boolean} [typing] */
function mark(input, said, typing = false) {
  if (!typing) input.value = said;
  input.classList.toggle("filtering", said !== "");
}
