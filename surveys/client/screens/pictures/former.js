/** Beside a new reading of a line: where a person had put its boundaries before, and what was taken from it into the record. */

import { isStop } from "../../api/http.js";
import { historyOf, measurementsAlong } from "../../api/pictures.js";
import { across } from "../../lib/plane.js";
import { count } from "../../lib/words.js";
import { carried, formerOf, takenBefore } from "../../model/pictures/former.js";
import { thickTold } from "../../model/pictures/lines.js";
import { button, h, refill } from "../parts/dom.js";
import { reportUnexpected } from "../parts/say.js";
import { table } from "../parts/table.js";

/** @typedef {import("../../model/pictures/former.js").Former} Former */
/** @typedef {import("../../model/pictures/types.js").ReadLayer} ReadLayer */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("./cutting.js").Cutting} Cutting */

/** @param {Cutting} cutting */
export function formerPart(cutting) {
  const { work } = cutting;
  const hand = h("div");
  const taken = h("div");
  /** @type {Row[]} */
  let measured = [];
  let drawn = "";

  async function read() {
    const { code, visit: { signal } } = work;
    const [changes, found] = await Promise.all([historyOf(code, cutting.line.id, signal), measurementsAlong(code, cutting.line.id, signal)]);
    measured = found;
    cutting.former = formerOf(changes);
    drawn = "";
    draw();
    work.desk.redraw();
  }

  function draw() {
    const { former, line } = cutting;
    const open = former !== null && line.boundaries === null && !cutting.unsaved;
    if (!open) cutting.former = null;
    const key = JSON.stringify([open, line.layers, measured]);
    if (key === drawn) return;
    drawn = key;
    refill(hand, open && former && byHand(cutting, former));
    refill(taken, inTheRecord(measured, cutting));
  }

  const again = () => void read().catch((error) => !isStop(error) && reportUnexpected(error));
  again();
  return { element: h("div", null, hand, taken), draw, again };
}

/** @param {Cutting} cutting @param {Former} former */
function byHand(cutting, former) {
  const { line: { path }, work } = cutting;
  const places = carried(former, path);
  return h("section", { class: "box former", "aria-label": "Boundaries by hand before" },
    h("p", null, `Before this reading ${count(former.boundaries.length, "boundary", "boundaries")} stood where ${former.actor} had put them. On the picture they are dotted, along the line as it was; on this line they come to ${places.map((one) => one.toLocaleString("en-GB")).join(", ")} px.`),
    work.writes && h("p", { class: "buttons" }, button("Put the boundaries there", () => cutting.doneBy(() => cutting.cuts.steps.done(places, "The boundaries are put where they were before.")), { class: "quiet" })));
}

/** @param {readonly Row[]} measured @param {Cutting} cutting */
function inTheRecord(measured, { line }) {
  const { gone, other } = takenBefore(measured, line);
  if (gone.length + other.length === 0) return null;
  const kept = (/** @type {Row} */ one) => thickTold(/** @type {ReadLayer} */ (/** @type {unknown} */ (one)));
  const rows = [...other.map(({ was, is }) => [String(was["layer_name"]), kept(was), `layer ${is.index}, ${thickTold(is)}`]), ...gone.map((one) => [String(one["layer_name"]), kept(one), "no layer there"])];
  return h("section", { class: "former", "aria-label": "Taken over before" }, h("h4", null, "Taken into the record before, and read otherwise now"),
    table("Taken into the record before", ["Layer of the record", "As it was taken", "As it is read now"], rows, { empty: "None." }),
    h("p", { class: "hint" }, "The record stays as it was taken, until somebody takes the new reading over."));
}

/** The former boundaries on the picture. @param {Former} former @returns {import("./overlay.js").Shape[]} */
export function drawnFormer({ path, width, boundaries }) {
  return boundaries.map((one, at) => ({ kind: "cut", points: across(path, one, width), dash: "1 4", label: at === 0 || at === boundaries.length - 1 ? `was ${at + 1}` : "" }));
}
