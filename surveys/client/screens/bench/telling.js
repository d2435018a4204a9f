/** What becomes of what was entered, said to who hears the page: saved and refused once each, when they come about. */

import { announce } from "../parts/say.js";

/** @typedef {{ unsaved: number, refused: number, clashes: number }} Counts */

/** @param {import("../../model/bench/desk.js").Bench} bench @returns {(now: Counts) => void} */
export function teller(bench) {
  /** @type {Counts} */
  let before = { unsaved: 0, refused: 0, clashes: 0 };
  return (now) => {
    const [last, refused] = [before, now.refused > before.refused];
    before = now;
    if (refused) sayRefused(bench);
    else if (now.clashes > last.clashes) announce("Somebody else changed this meanwhile. Choose between the two values.");
    else if (now.unsaved === 0 && last.unsaved > 0 && now.refused === 0) announce("Saved.");
  };
}

/** @param {import("../../model/bench/desk.js").Bench} bench */
function sayRefused({ layers, samples }) {
  for (const sheet of [layers, samples]) {
    const place = sheet.inState("refused").at(-1);
    if (place) announce(`${sheet.column(place.name).label} refused. ${sheet.cell(place.id, place.name).reason}`);
  }
}
