/** The profile of a line as curves, with the boundaries across them. */

import { profile as readProfile } from "../../api/pictures.js";
import { isStop } from "../../api/http.js";
import { length } from "../../lib/plane.js";
import { HIGH, WIDE, dashOf, panels, placeOf } from "../../model/pictures/profile.js";
import { proper } from "../../model/pictures/lines.js";
import { h, refill } from "../parts/dom.js";
import { refusals } from "../parts/say.js";
import { s } from "../parts/svg.js";

/** @typedef {import("./cutting.js").Cutting} Cutting */

/** @param {Cutting} cutting */
export function curves(cutting) {
  const place = h("div", null, h("p", null, "Reading the profile …"));
  const problem = refusals();
  const { line, work } = cutting;
  const long = length(line.path);
  /** @type {SVGGElement[]} */
  let marks = [];
  readProfile(work.code, line.id, work.visit.signal).then((found) => {
    marks = [];
    refill(place, panels(found, long).map((one) => {
      const cuts = s("g");
      marks.push(cuts);
      return h("div", { class: "profilepanel" }, h("span", null, one.name, h("small", null, `${one.least} to ${one.most}`)),
        s("svg", { class: "profile", viewBox: `0 0 ${WIDE} ${HIGH}`, preserveAspectRatio: "none", height: HIGH, role: "img", "aria-label": `${one.name}, ${one.told}, along the line` },
          one.zero !== null && s("path", { class: "zero", d: `M0 ${one.zero}H${WIDE}` }), s("path", { class: "curve", d: one.d }), cuts));
    }), h("p", { class: "profilends" }, h("span", null, "substrate, 0 px"), h("span", null, `surface, ${Math.round(long)} px`)));
    draw();
  }).catch((error) => {
    if (isStop(error)) return;
    refill(place, problem.place);
    problem.show(error);
  });

  function draw() {
    const layers = proper(cutting.line);
    for (const one of marks) {
      refill(one, cutting.cuts.all.map((cut, at) => s("path", {
        class: at === cutting.chosen ? "cut chosen" : "cut", d: `M${placeOf(cut, long).toFixed(1)} 0V${HIGH}`, "stroke-dasharray": dashOf(layers[at]?.confidence ?? layers[at - 1]?.confidence ?? null),
      })));
    }
  }

  return { element: place, draw };
}
