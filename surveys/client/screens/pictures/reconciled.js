/** Several lines of one section as one stack: which shows which layer, how far they agree, and what stands in the record. */

import { lines as readLines } from "../../api/pictures.js";
import { isStop } from "../../api/http.js";
import { percent } from "../../model/confidence.js";
import { uvTold } from "../../model/pictures/lines.js";
import { micrometres } from "../../model/pictures/pictures.js";
import { h, refill } from "../parts/dom.js";
import { refusals } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/pictures/types.js").Lines} Lines */
/** @typedef {import("./work.js").PictureWork} PictureWork */

/** @param {PictureWork} work */
export function reconciledFold(work) {
  const place = h("div");
  const problem = refusals();
  const fold = h("details", { ontoggle: () => fold.open && void read() }, h("summary", null, "All lines of this sample together"), place, problem.place);
  let shown = "";

  async function read() {
    if (!work.sample) return;
    try {
      problem.clear();
      const found = await readLines(work.code, work.sample.id, work.visit.signal);
      shown = versions();
      refill(place, h("p", null, found.sentence), drawn(work, found), found.cautions?.length ? h("ul", { class: "notes" }, found.cautions.map((one) => h("li", null, one))) : null);
    } catch (error) {
      if (!isStop(error)) problem.show(error);
    }
  }

  const versions = () => work.lines.map((one) => `${one.id} ${one.version} ${one.state}`).join();

  return { element: fold, refresh: () => {
    fold.hidden = work.lines.filter((one) => one.state === "read").length < 2;
    if (fold.open && shown !== versions()) void read();
  } };
}

/** @param {PictureWork} work @param {Lines} found */
function drawn(work, found) {
  const names = found.traverses.map((id) => `Line ${work.lines.find((one) => one.id === id)?.number ?? ""}`);
  const rows = [...found.layers].reverse().map((one) => {
    const paint = h("span", { class: "paint little", "aria-hidden": "true" });
    paint.style.backgroundColor = one.hex ?? "transparent";
    const thick = one.thickness_um?.median === null || one.thickness_um === null ? "" : `${micrometres(one.thickness_um.median)} (${Number((one.thickness_um.least ?? 0).toFixed(1))} to ${micrometres(one.thickness_um.most ?? 0)})`;
    return [String(one.index), ...found.traverses.map((id) => one.by_traverse[id] ?? "–"), thick, h("span", null, paint, " ", one.lab ? one.lab.map((each) => Math.round(each)).join(", ") : ""), uvTold(one), one.agreement === null ? "" : percent(one.agreement), one.standing ? "yes" : "no"];
  });
  return table("Layers of all lines, from the surface down", ["Layer", ...names, "Thickness, least to most", "L*a*b*", "UV", "Lines agree", "In the record"], rows, { empty: "No line was read yet." });
}
