/** Named views: what is shown of a register, kept under a name, for one person and project. */

import { path } from "../../lib/paths.js";
import { toQuery, views } from "../../model/sheet/address.js";
import { button, h, link, newId, refill } from "../parts/dom.js";
import { announce } from "../parts/say.js";
import { closeWithEscape } from "./look.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../parts/visit.js").Visit} Visit */

/** @param {Desk} desk @param {Visit} visit @param {string} code */
export function viewsPanel(desk, visit, code) {
  const key = ["undercoat views", visit.person?.username ?? "", code, desk.kind.name].join("|");
  const place = h("div", { class: "panel" });
  const panel = h("details", { class: "drop-down", ontoggle: () => panel.open && draw() }, h("summary", null, "Views"), place);
  closeWithEscape(panel);
  const here = path("projects", code, "registers", desk.kind.name);
  const draw = () => {
    const known = read(key);
    const name = h("input", { id: newId("view"), maxlength: 60, autocomplete: "off", required: true });
    refill(place,
      h("ul", { class: "views" }, h("li", null, link(here, "All, as it comes")), Object.entries(known).map(([one, query]) => h("li", null, link(query ? `${here}?${query}` : here, one), " ",
        button("Forget", () => {
          delete known[one];
          localStorage.setItem(key, JSON.stringify(known));
          draw();
        }, { class: "quiet", "aria-label": `Forget the view ${one}` })))),
      h("form", { onsubmit: (/** @type {SubmitEvent} */ event) => {
        event.preventDefault();
        known[name.value.trim()] = new URLSearchParams(toQuery(desk.look)).toString();
        localStorage.setItem(key, JSON.stringify(known));
        announce("Kept.");
        draw();
      } }, h("div", { class: "field" }, h("label", { for: name.id }, "Keep what is shown now as"), name), h("button", { type: "submit" }, "Keep")));
  };
  return panel;
}

/** @param {string} key */
function read(key) {
  try {
    return views(JSON.parse(localStorage.getItem(key) ?? "{}"));
  } catch {
    return {};
  }
}
