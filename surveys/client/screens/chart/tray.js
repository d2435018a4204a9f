/** Rulings that are proposed: what they would change is worked out by the service and marked in the chart; then they are kept or discarded. */

import { sendBatch } from "../../api/sheets.js";
import { newKey } from "../../api/http.js";
import { ask } from "../../api/work.js";
import { count } from "../../lib/words.js";
import { asked, kept, told } from "../../model/chart/choosing.js";
import { sentence, summary } from "../../model/chart/foretold.js";
import { Problem } from "../../model/problems.js";
import { button, h, refill } from "../parts/dom.js";
import { announce, busy, refusalBox, refusals } from "../parts/say.js";
import { follow, jobView } from "../parts/watching.js";

/** @typedef {import("../parts/visit.js").Visit} Visit */
/** @typedef {import("../../model/types.js").Ruling} Ruling */
/** @typedef {import("../../model/chart/choosing.js").Proposal} Proposal */
/** @typedef {import("../../model/chart/foretold.js").Preview} Preview */

const SHOWN = 40;

/**
 * @typedef {object} Told
 * @property {() => Ruling[]} standing
 * @property {() => void} changed the proposals, or what is known of them, are others now
 * @property {(layer: string) => void} goTo
 * @property {() => Promise<void>} stored the proposals were kept
 * @property {() => void} back put the focus back into the chart
 */

export class Tray {
  /** @param {Visit} visit @param {string} code @param {string} space @param {Told} told */
  constructor(visit, code, space, told) {
    this.visit = visit;
    this.code = code;
    this.space = space;
    this.told = told;
    /** @type {Proposal[]} */
    this.proposals = [];
    /** @type {Preview | null} */
    this.preview = null;
    this.turn = 0;
    this.outcome = h("div", { class: "foretold", role: "status" });
    this.problem = refusals();
    this.element = h("section", { class: "tray box", "aria-label": "Proposed rulings", hidden: true });
  }

  /** @param {Proposal[]} more */
  add(more) {
    const pair = (/** @type {Proposal} */ one) => [one.first, one.second ?? ""].sort().join(" ");
    const fresh = more.filter((one) => !this.proposals.some((other) => (one.kind === "hold") === (other.kind === "hold") && pair(one) === pair(other)));
    if (fresh.length < more.length) announce("Some of this is proposed already.");
    this.set([...this.proposals, ...fresh]);
  }

  /** @param {Proposal[]} proposals */
  set(proposals) {
    this.proposals = proposals;
    this.preview = null;
    this.turn += 1;
    this.visit.unsaved(proposals.length > 0);
    refill(this.outcome);
    this.show();
    this.told.changed();
  }

  /** What is proposed on a layer. @param {string} id */
  on(id) {
    return [...new Set(this.proposals.filter((one) => one.first_id === id || one.second_id === id).map((one) => one.kind))].join(", ");
  }

  show() {
    this.element.hidden = this.proposals.length === 0;
    const preview = button("Preview (P)", () => this.ask(), { class: this.preview ? null : "main" });
    const keep = button(`Keep ${count(this.proposals.length, "ruling")}`, () => busy(keep, this.problem, () => this.keep()), { class: this.preview && !this.preview.refused ? "main" : null });
    const discard = button("Discard", () => this.discard(), { class: "quiet" });
    refill(this.element,
      h("h3", null, "Proposed, not kept"),
      h("ul", { class: "said" }, this.proposals.map((one, index) => h("li", null, `${one.kind}: ${told(one)}`, one.reason ? ` (“${one.reason}”)` : "", " ",
        button("Take back", () => this.set(this.proposals.filter((_, other) => other !== index)), { class: "quiet", "aria-label": `Take back: ${told(one)}` })))),
      h("p", { class: "buttons" }, preview, " ", keep, " ", discard),
      this.problem.place, this.outcome);
  }

  discard() {
    this.set([]);
    this.problem.clear();
    announce("Discarded.");
    this.told.back();
  }

  /** Have it worked out what they would change. */
  async ask() {
    if (this.proposals.length === 0) {
      announce("Nothing is proposed: select layers, then press T, B or H.");
      return;
    }
    this.turn += 1;
    const turn = this.turn;
    this.problem.clear();
    const view = jobView(this.code, () => {});
    refill(this.outcome, view.element);
    try {
      const params = /** @type {any} */ ({ space: this.space, rulings: asked(this.proposals) });
      const job = await follow(this.visit.signal, this.code, await ask(this.code, "preview", params), (one) => view.show(one));
      if (turn !== this.turn) return;
      if (job.state !== "done") return;
      this.preview = /** @type {Preview} */ (job.result);
      this.show();
      this.tell(this.preview);
      this.told.changed();
    } catch (error) {
      if (turn !== this.turn) return;
      refill(this.outcome);
      this.problem.show(error);
    }
  }

  /** @param {Preview} preview */
  tell(preview) {
    if (preview.refused) {
      refill(this.outcome, refusalBox(preview.refused, preview.chain));
      return;
    }
    const said = summary(preview);
    const more = preview.changes.length - SHOWN;
    refill(this.outcome, h("p", null, h("strong", null, "If they are kept: "), said.join(" ")),
      preview.changes.length > 0 && h("details", null, h("summary", null, "Layer by layer"), h("ul", { class: "said" },
        preview.changes.slice(0, SHOWN).map((one) => h("li", null, button(one.layer, () => this.told.goTo(one.layer_id), { class: "quiet" }), sentence(one, preview).slice(one.layer.length))),
        more > 0 && h("li", null, `and ${count(more, "other layer")}, marked in the chart`))));
    announce(said.join(" "));
  }

  async keep() {
    const operations = kept(this.proposals, this.told.standing());
    try {
      await sendBatch(this.code, "rulings", /** @type {any} */ (operations), newKey());
    } catch (error) {
      if (error instanceof Problem && error.status === 412) await this.told.stored();
      throw error;
    }
    const many = this.proposals.length;
    this.set([]);
    announce(`${count(many, "ruling")} kept. Correlate the space to have it obeyed.`);
    await this.told.stored();
    this.told.back();
  }
}
