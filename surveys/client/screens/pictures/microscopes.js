/** The project's own microscopes, each at one magnification with the scale that was measured for it. */

import { isStop } from "../../api/http.js";
import { microscopes as readMicroscopes } from "../../api/pictures.js";
import { change, create, withdraw } from "../../api/records.js";
import { figure } from "../../model/pictures/pictures.js";
import { button, h, refill } from "../parts/dom.js";
import { recordForm } from "../parts/form.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Row} Row */

/** @type {readonly import("../../model/fields.js").Field[]} */
const FIELDS = [
  { name: "name", label: "Name", required: true, hint: "Which microscope and camera." }, { name: "magnification", label: "Magnification", required: true, hint: "As in 20×/0.5." },
  { name: "um_per_pixel", label: "Scale", type: "number", unit: "µm per px", required: true }, { name: "picture_width", label: "Width of its pictures", type: "whole", unit: "px", hint: "A camera that makes smaller ones has a coarser scale." },
  { name: "measured_on", label: "Measured on", type: "date" }, { name: "measured_by", label: "Measured by" }, { name: "notes", label: "Notes", type: "long" },
];

/** @param {Visit} visit @param {string} code @param {() => void} changed @param {import("../../model/pictures/types.js").Attachment | null} [picture] whose scale a new one begins with */
export function microscopesFold(visit, code, changed, picture = null) {
  const place = h("div");
  const problem = refusals();
  const fold = h("details", { ontoggle: () => fold.open && place.children.length === 0 && void show() }, h("summary", null, "Microscopes of this project"), place, problem.place);

  async function show() {
    try {
      const found = await readMicroscopes(code, visit.signal);
      const rows = found.map((one) => [one.name, one.magnification, figure(one.um_per_pixel, 4), one.picture_width ?? "", one.measured_on ?? "", h("span", { class: "buttons" }, button("Change", () => form(/** @type {any} */ (one)), { class: "quiet", "aria-label": `Change ${one.name}, ${one.magnification}` }),
        askedButton("Remove", `Remove ${one.name}, ${one.magnification}?`, "Remove", (pressed) => busy(pressed, problem, async () => {
          await withdraw(code, "microscopes", one);
          announce("Removed.");
          await again();
        })))]);
      refill(place, table("Microscopes of this project", ["Name", "Magnification", "µm per px", "Width, px", "Measured on", "Deeds"], rows, { numeric: [2, 3], empty: "There is none yet." }),
        h("p", { class: "buttons adds" }, button("Add a microscope", () => form(null), { class: "quiet" })));
    } catch (error) {
      if (!isStop(error)) problem.show(error);
    }
  }

  /** Where one goes on when what had the focus is gone. @returns {HTMLElement | null} */
  const add = () => place.querySelector(".adds button");

  async function again() {
    await show();
    changed();
    add()?.focus();
  }

  /** @param {Row | null} row */
  function form(row) {
    const begun = picture?.um_per_pixel ? { um_per_pixel: Number(picture.um_per_pixel.toPrecision(6)), picture_width: picture.width, magnification: picture.magnification } : {};
    refill(place, recordForm({
      fields: FIELDS, row, words: {}, resolve: async () => null, leave: () => void show().then(() => add()?.focus()), unsaved: visit.unsaved, begun, button: row ? "Save" : "Add",
      save: (values, current) => (current ? change(code, "microscopes", /** @type {Row} */ (current), values) : create(code, "microscopes", values)),
      saved: () => void again(),
    }));
    place.querySelector("input")?.focus();
  }

  return fold;
}
