/** On a layer's page: what lines read of it, beside what was entered. */

import { isStop } from "../../api/http.js";
import { measurementsOf } from "../../api/pictures.js";
import { path, withQuery } from "../../lib/paths.js";
import { surely, thickTold, uvTold } from "../../model/pictures/lines.js";
import { UNCALIBRATED } from "../../model/pictures/pictures.js";
import { h, link, newId, refill, stateOf } from "../parts/dom.js";
import { refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/types.js").Row} Row */

/** @param {import("../parts/visit.js").Visit} visit @param {string} code @param {string} layer */
export function measuredSection(visit, code, layer) {
  const title = newId("measured");
  const problem = refusals();
  const place = h("div");
  const section = h("section", { "aria-labelledby": title, hidden: true }, h("h2", { id: title }, "Read in pictures"), place, problem.place);
  measurementsOf(code, layer, visit.signal).then((found) => {
    section.hidden = found.length === 0;
    refill(place, table("What lines read of this layer", ["Line", "Thickness", "L*a*b*", "UV", "How sure", "Taken over by"], found.map((one) => row(code, one)), { empty: "None." }));
  }).catch((error) => {
    if (isStop(error)) return;
    section.hidden = false;
    problem.show(error);
  });
  return section;
}

/** @param {string} code @param {Row} one */
function row(code, one) {
  const read = /** @type {import("../../model/pictures/types.js").ReadLayer} */ (/** @type {unknown} */ (one));
  const lab = [one["lab_l"], one["lab_a"], one["lab_b"]];
  const colour = lab.some((each) => typeof each !== "number") ? "" : `${lab.map((each) => Math.round(Number(each) * 10) / 10).join(", ")}${one["colour_calibrated"] ? "" : `, ${UNCALIBRATED}`}`;
  const href = withQuery(path("projects", code, "pictures", String(one["attachment"])), { tool: "lines", line: String(one["traverse_number"]) });
  return [link(href, `line ${one["traverse_number"]} on picture ${one["attachment_number"]}`), thickTold(read), colour, uvTold(read), stateOf(surely(read.confidence)), String(one["created_by"] ?? "")];
}
