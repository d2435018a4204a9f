/** The layers that stand in the record, beside what was read: pointed at in the one, marked in the other. */

import { isStop } from "../../api/http.js";
import { all } from "../../api/records.js";
import { coloursOf } from "../../api/sheets.js";
import { Swatches, paint } from "../../grid/swatches.js";
import { path } from "../../lib/paths.js";
import { standing } from "../../model/pictures/accepting.js";
import { proper } from "../../model/pictures/lines.js";
import { h, link, refill } from "../parts/dom.js";
import { reportUnexpected } from "../parts/say.js";

/** @typedef {import("./cutting.js").Cutting} Cutting */
/** @typedef {import("../../model/types.js").Row} Row */

/** @param {Cutting} cutting @param {(index: number) => void} lit told which read layer belongs to what is pointed at */
export function standingStack(cutting, lit) {
  const { work } = cutting;
  const list = h("ol", { class: "standinglayers", "aria-label": "Layers in the record, from the surface down" });
  const number = String(work.sample?.["number"] ?? "");
  const element = h("div", { class: "standing" }, h("h4", null, "In the record"), list, h("p", { class: "hint" }, link(path("projects", work.code, "bench", number), work.writes ? "Enter and order them on the bench" : "See them on the bench")));
  /** @type {Row[]} */
  let rows = [];
  const swatches = new Swatches((notations) => coloursOf(notations, work.visit.signal), () => show());

  const readOf = (/** @type {string} */ id) => proper(cutting.line).find((one) => one.accepted === id)?.index ?? 0;

  function show() {
    refill(list, rows.length === 0 && h("li", { class: "empty" }, "None yet."), [...rows].reverse().map((one) => {
      const swatch = h("span", { class: "paint", "aria-hidden": "true" });
      paint(swatch, swatches.of(String(one["munsell"] ?? "")));
      return h("li", { "data-id": one.id, onpointerenter: () => lit(readOf(one.id)), onpointerleave: () => lit(0) }, h("span", { class: "position" }, String(one["position"])), swatch,
        h("span", null, [one["kind"], one["colour"], standing(one, "thickness_um")].filter(Boolean).map(String).join(", ")));
    }));
    draw();
  }

  function draw() {
    const id = cutting.lit > 0 ? proper(cutting.line)[cutting.lit - 1]?.accepted : null;
    for (const one of list.children) if (one instanceof HTMLElement) one.classList.toggle("pointed", Boolean(id) && one.dataset["id"] === id);
  }

  async function read() {
    rows = await all(work.code, "layers", { sample: work.sample?.id ?? "", ordering: "position" }, work.visit.signal);
    show();
  }

  const again = () => void read().catch((error) => !isStop(error) && reportUnexpected(error));
  again();
  return { element, draw, again };
}
