/** What one does with the layers that one has chosen in a chart, or with the one at which one is. */

import { hindrance } from "../../model/chart/choosing.js";
import { layerAt } from "../../model/chart/layout.js";
import { HEAD } from "../../model/chart/moving.js";
import { newAddress } from "../../model/findings.js";
import { announce } from "../parts/say.js";
import { askRuling } from "./asking.js";

/** @typedef {import("./view.js").ChartView} ChartView */
/** @typedef {import("../../model/chart/choosing.js").RulingKind} RulingKind */

// More would make an address that is too long.
const MOST_CITED = 100;

/** Write an interpretation that cites the chosen layers. @param {ChartView} view */
export function cite(view) {
  const chosen = view.cells().slice(0, MOST_CITED);
  if (view.tray.proposals.length > 0) view.tools.say("Keep or discard the proposed rulings first.");
  else if (chosen.length === 0) view.tools.say("Select the layers to cite first (Space).");
  else view.visit.go(newAddress(view.code, chosen.map((cell) => ({ type: "layer", id: cell.layer_id })), { subject: "space", name: view.data.chart.space }));
}

/** Ask for a ruling on the chosen layers, and put it among the proposals. @param {ChartView} view @param {RulingKind} kind */
export function rule(view, kind) {
  const here = layerAt(view.made, view.place);
  const some = view.cells();
  const chosen = kind === "hold" && some.length === 0 && here ? [here] : some;
  const why = hindrance(kind, chosen, view.data.chart);
  view.tools.say(why);
  if (why) {
    announce(why);
    return;
  }
  askRuling(kind, chosen, view.data.chart.generations, here?.generation ?? view.made.rows[view.place.row]?.ordinal ?? null, (found, preview) => {
    view.chosen = [];
    view.tray.add(found);
    if (preview) view.tray.ask();
  });
}

/** Open what is said about the layer or the generation at which one is. @param {ChartView} view */
export function talk(view) {
  const cell = layerAt(view.made, view.place);
  const generation = view.place.column === HEAD ? view.made.rows[view.place.row]?.generation : null;
  const back = () => view.surface.goTo(view.place, true);
  if (cell) view.talking.open({ type: "layer", id: cell.layer_id, name: cell.layer, back });
  else if (generation) view.talking.open({ type: "generation", id: generation.id, name: `${view.data.chart.space}/${generation.ordinal}`, back });
}
