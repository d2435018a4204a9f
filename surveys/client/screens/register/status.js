/** What stands below the grid: how many rows, what is not saved, what is refused and why, and the choice where two people wrote. */

import { button, h, link, refill } from "../parts/dom.js";

/** @typedef {import("../../model/sheet/desk.js").Desk} Desk */
/** @typedef {import("../../model/sheet/arrange.js").Entry} Entry */
/** @typedef {import("../../model/sheet/sheet.js").Cell} Cell */

/**
 * @typedef {object} Asked
 * @property {Desk} desk
 * @property {() => { id: string, name: string, entry: Entry } | null} here
 * @property {(id: string, name: string) => void} goTo
 * @property {() => void} send
 * @property {() => string} waiting why nothing can be sent
 * @property {(id: string) => string} by who wrote a record last
 * @property {() => void} leave back to the grid
 * @property {(id: string) => string} address of a record's own page
 * @property {(id: string) => string} bench where the record lies at the bench; "" if it does not
 * @property {(any: boolean) => void} unsaved
 */

const SAVED_SECONDS = 2;

/** @param {Asked} asked */
export function statusBar(asked) {
  const { desk } = asked;
  const cell = h("div", { class: "cellstatus", id: "cell-status" });
  const counts = h("span", { class: "counts" });
  const said = h("span", { class: "said" });
  const element = h("section", { class: "sheetstatus", "aria-label": "State of this register", tabindex: -1, onkeydown: (/** @type {KeyboardEvent} */ event) => {
    if (event.key !== "Escape" && event.key !== "F6") return;
    event.preventDefault();
    asked.leave();
  } }, cell, h("p", { class: "line" }, counts, " ", said));
  let due = 0;
  let fading = 0;
  let last = "";

  function draw() {
    due = 0;
    const now = desk.sheet.counts();
    asked.unsaved(now.unsaved > 0);
    drawCounts(now);
    drawCell();
    if (desk.sheet.saved.size > 0 && !fading) fading = window.setTimeout(fade, SAVED_SECONDS * 1000);
  }

  // That a cell was saved is told for a moment: what is clean needs no mark.
  function fade() {
    fading = 0;
    const ids = [...desk.sheet.saved.keys()];
    desk.sheet.saved.clear();
    desk.sheet.tell(ids);
  }

  /** @param {{ unsaved: number, refused: number, clashes: number }} now */
  function drawCounts(now) {
    const whole = desk.sheet.ids().length;
    const shown = desk.order.length;
    const key = JSON.stringify([now, whole, shown, asked.waiting()]);
    if (key === last) return;
    last = key;
    refill(counts,
      shown === whole ? `${told(whole)} rows. ` : `${told(shown)} of ${told(whole)} rows. `,
      now.unsaved > 0 && h("span", { class: "state" }, `○ ${told(now.unsaved)} unsaved. `),
      asked.waiting() !== "" && h("span", { class: "waiting" }, `${asked.waiting()} `),
      now.refused > 0 && [h("span", { class: "state" }, `✕ ${told(now.refused)} refused `), button("Next refused", () => next("refused"), { class: "quiet" }), " "],
      now.clashes > 0 && [h("span", { class: "state" }, `≠ ${told(now.clashes)} changed by somebody else too `), button("Next of them", () => next("clash"), { class: "quiet" }), " ",
        button("Keep all mine", () => settle("mine"), { class: "quiet" }), " ", button("Take all theirs", () => settle("theirs"), { class: "quiet" })]);
  }

  /** @param {"refused" | "clash"} state */
  function next(state) {
    const found = desk.sheet.inState(state).sort((one, other) => (desk.places.get(one.id) ?? 0) - (desk.places.get(other.id) ?? 0));
    const here = asked.here();
    const after = found.findIndex((one) => one.id === here?.id && one.name === here.name) + 1;
    const wanted = found[after % found.length];
    if (wanted) asked.goTo(wanted.id, wanted.name);
  }

  /** @param {"mine" | "theirs"} whose */
  function settle(whose) {
    desk.settleClashes(whose);
    asked.send();
    asked.leave();
  }

  function drawCell() {
    const here = asked.here();
    const key = here && here.entry.kind === "row" ? JSON.stringify([here.id, here.name, desk.sheet.cell(here.id, here.name)]) : "";
    if (cell.dataset["key"] === key) return;
    cell.dataset["key"] = key;
    if (!here || here.entry.kind !== "row") {
      refill(cell);
      return;
    }
    const column = desk.sheet.column(here.name);
    const now = desk.sheet.cell(here.id, here.name);
    const name = desk.sheet.text(here.id, desk.kind.key) || `new ${desk.kind.one}`;
    const bench = asked.bench(here.id);
    refill(cell, h("span", { class: "where" }, here.id.startsWith("new:") ? name : link(asked.address(here.id), name), `, ${column.label}`), " ", ...telling(here.id, here.name, now),
      bench && [" ", link(bench, "At the bench"), " "], now.state === "clean" && column.hint && h("span", { class: "hint" }, column.hint));
  }

  /** @param {string} id @param {string} name @param {Cell} now */
  function telling(id, name, now) {
    if (now.state === "refused") {
      const edited = desk.sheet.edit(id, name);
      if (!edited && desk.sheet.gone.has(id)) return [h("strong", null, "✕ Refused. "), `${now.reason} `, button("Keep the row", () => choose(() => desk.sheet.takeTheirs(id, name)), { class: "quiet" })];
      return [h("strong", null, "✕ Refused. "), `${now.reason} `, edited && button("Put back what is recorded", () => choose(() => desk.sheet.takeTheirs(id, name)), { class: "quiet" })];
    }
    if (now.state !== "clash") return [];
    const by = asked.by(id) || "somebody else";
    if (now.removed) {
      return [h("strong", null, "≠ You removed this row. "), `It said “${now.text}”; ${by} has since written “${now.theirs}”. `,
        button("Remove it all the same", () => choose(() => desk.sheet.keepMine(id, name)), { class: "quiet" }), " ",
        button("Keep the row", () => choose(() => desk.sheet.takeTheirs(id, name)), { class: "quiet" })];
    }
    return [h("strong", null, "≠ Two values. "), `You: “${now.text}”. Recorded by ${by}: “${now.theirs}”. `,
      button(`Keep mine: ${short(now.text)}`, () => choose(() => desk.sheet.keepMine(id, name)), { class: "quiet" }), " ",
      button(`Take theirs: ${short(now.theirs)}`, () => choose(() => desk.sheet.takeTheirs(id, name)), { class: "quiet" })];
  }

  /** @param {() => void} deed */
  function choose(deed) {
    deed();
    asked.send();
    asked.leave();
  }

  return {
    element,
    refresh() {
      if (!due) due = requestAnimationFrame(draw);
    },
    /** @param {string} text */
    say(text) {
      said.textContent = text;
    },
    /** @param {number} loaded @param {number | null} whole */
    loading(loaded, whole) {
      if (whole !== null) said.textContent = `Loading: ${told(loaded)} of ${told(whole)}.`;
      else if (said.textContent?.startsWith("Loading")) said.textContent = "";
      this.refresh();
    },
    focus() {
      const first = element.querySelector("button, a");
      if (first instanceof HTMLElement) first.focus();
      else element.focus();
    },
  };
}

/** @param {number} count */
function told(count) {
  return count.toLocaleString("en-GB");
}

/** @param {string} text */
function short(text) {
  const line = text.replaceAll("\n", " ");
  return line.length > 24 ? `${line.slice(0, 23)}…` : line || "(blank)";
}
