/**
 * The bench as somebody works at it: samples with their layers in order, what is typed and not saved, what was done and can be undone. Whoever
 * shows it asks here and is told what to show anew.
 */

import { Outbox } from "../sheet/outbox.js";
import { References } from "../sheet/references.js";
import { Sheet } from "../sheet/sheet.js";
import { Steps } from "../sheet/steps.js";
import { ENTERED, OF_SAMPLE, TOGETHER, allowed, layerColumns } from "./fields.js";
import { StackOutbox } from "./outbox.js";
import { reconciled } from "./plan.js";
import { NEW, added, copied, difference, merged, moved, removed, repeated, split } from "./stack.js";

/** @typedef {import("./stack.js").Layer} Layer */
/** @typedef {import("./stack.js").Done} Done */
/** @typedef {import("../sheet/sheet.js").Row} Row */
/** @typedef {import("../sheet/sheet.js").Told} Told */
/** @typedef {import("../sheet/outbox.js").Ways} Ways */
/** @typedef {import("../problems.js").Problem} Problem */
/** @typedef {"layer" | "sample"} Of */
/** @typedef {"above" | "below" | "split" | "merge" | "up" | "down" | "copy" | "remove"} Act */
/** @typedef {{ focus: string, said: string, refused: boolean }} Answer */

/**
 * @typedef {object} Entry one thing done, as it is undone
 * @property {string} label
 * @property {Of} of
 * @property {string} sample
 * @property {number} many steps of the sheet
 * @property {{ before: string[], after: string[] } | null} order
 * @property {string[]} unplaced
 * @property {string} session the stay in a field that it belongs to
 * @property {{ before: string, after: string }} at the layer, or the sample, where one was and where one went on
 */

/** @type {Readonly<Record<Act, (stack: Layer[], id: string) => Done | { refusal: string }>>} */
const ACTS = {
  above: (stack, id) => added(stack, id, "above"), below: (stack, id) => added(stack, id, "below"), split, merge: merged,
  up: (stack, id) => moved(stack, id, 1), down: (stack, id) => moved(stack, id, -1), copy: copied, remove: removed,
};
/** @type {Readonly<Record<Act, string>>} */
const LABELS = { above: "new layer", below: "new layer", split: "split", merge: "merging", up: "move", down: "move", copy: "copy", remove: "removal" };
const MOST = 80;

export class Bench {
  /**
   * @param {Record<string, readonly string[]>} words @param {{ layers: Ways, samples: Ways }} ways @param {boolean} writes
   * @param {{ say: (text: string) => void, goTo: (layer: string) => void }} host
   */
  constructor(words, ways, writes, host) {
    this.writes = writes;
    this.host = host;
    this.references = new References();
    const context = { words, references: this.references };
    this.layers = new Sheet(allowed(layerColumns(), writes), context);
    this.samples = new Sheet(allowed(OF_SAMPLE, writes), context);
    this.steps = { layer: new Steps(this.layers, { bears: false }), sample: new Steps(this.samples, { bears: true }) };
    this.outboxes = {
      layer: new StackOutbox(this.layers, this.steps.layer, TOGETHER, ways.layers, {
        samples: () => [...this.orders.keys()], there: (sample) => this.there(sample), order: (sample) => this.orders.get(sample) ?? [],
        revert: (problem) => this.revert(problem), giveUp: (problem) => this.giveUp(problem),
      }),
      sample: new Outbox(this.samples, this.steps.sample, [], ways.samples),
    };
    /** @type {Map<string, string[]>} the layers of each sample as they are wanted, lowest first */
    this.orders = new Map();
    /** @type {Map<string, string[]>} and as the service last told them */
    this.known = new Map();
    /** @type {Entry[]} */
    this.done = [];
    /** @type {Entry[]} */
    this.undone = [];
    /** @type {Map<string, string>} what was last entered in each field */
    this.last = new Map();
    this.layers.listen((told) => this.follow(told));
  }

  /** @param {Of} of */
  sheet(of) {
    return of === "layer" ? this.layers : this.samples;
  }

  /** A sample and its layers as the service has them. @param {Row} sample @param {readonly Row[]} layers */
  load(sample, layers) {
    this.samples.load([sample]);
    this.references.set("samples", [...this.samples.rows.values()].map((row) => [row.id, String(row["number"])]));
    const there = new Set(layers.map((row) => row.id));
    const gone = [...this.layers.rows.values()].filter((row) => row["sample"] === sample.id && !this.layers.born.has(row.id) && !there.has(row.id));
    if (!this.orders.has(sample.id)) this.orders.set(sample.id, []);
    for (const row of layers) this.layers.rebase(row);
    const lost = this.layers.forget(gone.map((row) => row.id));
    this.layers.tell(there, true);
    this.arrange(sample.id);
    return lost;
  }

  /** The sample that a layer is of; that of a new one is typed, as all of it is. @param {string} id */
  sampleOf(id) {
    return String(this.layers.value(id, "sample") ?? "");
  }

  /** @param {string} sample */
  there(sample) {
    const rows = [...this.layers.rows.values()].filter((row) => row["sample"] === sample && !this.layers.born.has(row.id));
    return rows.sort((one, other) => Number(one["position"]) - Number(other["position"])).map((row) => row.id);
  }

  /** @param {string} sample */
  arrange(sample) {
    const { rows, gone, born } = this.layers;
    const now = this.there(sample);
    const order = reconciled(this.orders.get(sample) ?? [], this.known.get(sample) ?? [], now, (id) => rows.has(id) && gone.get(id)?.state !== "unsaved" && gone.get(id)?.state !== "saving");
    for (const id of born) if (this.sampleOf(id) === sample && !order.includes(id) && !gone.has(id)) order.push(id);
    this.known.set(sample, now);
    this.orders.set(sample, order);
  }

  /** @param {Told} told */
  follow(told) {
    if (told.renamed.size > 0) {
      const now = (/** @type {string} */ id) => told.renamed.get(id) ?? id;
      for (const [sample, order] of this.orders) this.orders.set(sample, order.map(now));
      for (const entry of [...this.done, ...this.undone]) rename(entry, now);
    }
    if (told.rows || told.renamed.size > 0) for (const sample of this.orders.keys()) this.arrange(sample);
  }

  /** The layers of a sample, lowest first. @param {string} sample @returns {Layer[]} */
  stack(sample) {
    return (this.orders.get(sample) ?? []).map((id) => {
      const row = this.layers.rows.get(id);
      const placed = this.layers.edit(id, "generation") ? "" : String(row?.["generation_ordinal"] ?? "");
      return { id, texts: Object.fromEntries(ENTERED.map((one) => [one.name, this.layers.text(id, one.name)])), generation: placed, held: row?.["placed_by"] === "by hand" && placed !== "" };
    });
  }

  /** What stands in a sample's fields. @param {string} sample @returns {Record<string, string>} */
  texts(sample) {
    return Object.fromEntries(OF_SAMPLE.map((one) => [one.name, this.samples.text(sample, one.name)]));
  }

  /** Do something to a stack. @param {string} sample @param {Act} act @param {string} id the layer that it is done to @returns {Answer} */
  act(sample, act, id) {
    if (!this.writes) return { focus: id, said: "You may read this, but not change it.", refused: true };
    const before = this.stack(sample);
    const found = ACTS[act](before, id);
    if ("refusal" in found) return { focus: id, said: found.refusal, refused: true };
    const { cells, makes, gone, order } = difference(before, found.layers);
    const { layers, steps } = this;
    const count = steps.layer.done.length;
    const made = makes ? layers.bear() : "";
    const real = (/** @type {string} */ one) => (one === NEW ? made : one);
    const entry = { label: LABELS[act], of: /** @type {Of} */ ("layer"), sample, many: 0, order: { before: before.map((one) => one.id), after: order.map(real) }, unplaced: found.unplaced, session: "", at: { before: id, after: real(found.focus) } };
    this.orders.set(sample, entry.order.after);
    for (const one of found.unplaced) layers.put(one, "generation", { text: "", value: null, fault: "" });
    const written = cells.map((one) => ({ ...one, id: real(one.id) }));
    if (makes) written.push({ id: made, name: "sample", text: String(this.samples.rows.get(sample)?.["number"] ?? "") });
    if (written.length > 0) steps.layer.write(entry.label, written, makes ? [made] : []);
    if (gone.length > 0) steps.layer.remove(entry.label, gone);
    entry.many = steps.layer.done.length - count;
    this.keep(entry);
    layers.tell(entry.order.after, true);
    return { focus: real(found.focus), said: found.said, refused: false };
  }

  /** Type into a field. What is typed during one stay in it is one step. @param {Of} of @param {string} id @param {string} name @param {string} text @param {{ base?: unknown, session?: string }} [how] */
  type(of, id, name, text, how = {}) {
    const sheet = this.sheet(of);
    if (!sheet.writable(id, name) || sheet.text(id, name) === text) return;
    const { session = "", ...seen } = how;
    if (of === "layer" && text !== "") this.last.set(name, text);
    const latest = this.done.at(-1);
    const step = this.steps[of].done.at(-1);
    if (session !== "" && latest?.session === session && step && this.undone.length === 0) {
      const after = sheet.read(id, name, text);
      for (const cell of step.cells) cell.after = after;
      sheet.put(id, name, after);
      sheet.tell([id]);
      return;
    }
    this.write(of, `typing of ${sheet.column(name).label}`, id, [{ id, name, text, ...seen }], session);
  }

  /** @param {Of} of @param {string} label @param {string} id @param {{ id: string, name: string, text: string }[]} cells @param {string} [session] */
  write(of, label, id, cells, session = "") {
    const steps = this.steps[of];
    const count = steps.done.length;
    steps.write(label, cells);
    const sample = of === "sample" ? id : this.sampleOf(id);
    if (steps.done.length > count) this.keep({ label, of, sample, many: 1, order: null, unplaced: [], session, at: { before: id, after: id } });
  }

  /** Give a field once more what was last entered there. @param {string} sample @param {string} id @param {string} name */
  repeat(sample, id, name) {
    const text = repeated(this.stack(sample), id, name, this.last.get(name));
    if (text !== "") this.type("layer", id, name, text);
    return text;
  }

  /** @param {string} sample @param {"visible" | "uv"} light @param {string} day @param {string} who */
  examined(sample, light, day, who) {
    if (!this.writes) return;
    this.write("sample", "examination", sample, [{ id: sample, name: `examined_${light}_on`, text: day }, { id: sample, name: `examined_${light}_by`, text: who }]);
  }

  /** @param {Entry} entry */
  keep(entry) {
    this.done.push(entry);
    if (this.done.length > MOST) this.done.shift();
    this.undone = [];
  }

  undo() {
    return this.back(this.done, this.undone, "undo", "before");
  }

  redo() {
    return this.back(this.undone, this.done, "redo", "after");
  }

  /** @param {Entry[]} from @param {Entry[]} to @param {"undo" | "redo"} way @param {"before" | "after"} side @returns {{ label: string, left: number, entry: Entry } | null} */
  back(from, to, way, side) {
    const entry = from.pop();
    if (!entry) return null;
    const steps = this.steps[entry.of];
    let left = 0;
    for (let time = 0; time < entry.many; time += 1) {
      const step = (way === "undo" ? steps.done : steps.undone).at(-1);
      const gone = step?.gone.map((one) => one.id) ?? [];
      left += steps[way]()?.left ?? 0;
      const now = new Map(gone.map((id, index) => [id, step?.gone[index]?.id ?? id]));
      for (const one of [entry, ...this.done, ...this.undone]) rename(one, (id) => now.get(id) ?? id);
    }
    for (const id of way === "undo" ? entry.unplaced : []) this.layers.takeTheirs(id, "generation");
    if (entry.order) {
      // Before the service's own order is looked at, so that what came back takes its place.
      this.orders.set(entry.sample, [...entry.order[side]]);
      this.layers.tell(entry.order[side], true);
    }
    to.push(entry);
    return { label: entry.label, left, entry };
  }

  /** @param {Problem} problem */
  revert(problem) {
    const at = this.done.findLastIndex((one) => one.of === "layer");
    if (at < 0) return false;
    // What was typed since belongs to what the service refused, or is of another layer and stays as it is.
    while (this.done.length > at + 1 && this.done.at(-1)?.of === "layer") this.undo();
    const undone = this.undo();
    this.undone = [];
    this.host.say(`Not done (${undone?.label ?? "last act"}). ${problem.message}`);
    if (undone) this.host.goTo(undone.entry.at.before);
    return true;
  }

  /** @param {Problem} problem */
  giveUp(problem) {
    this.layers.gone.clear();
    for (const sample of this.orders.keys()) this.orders.set(sample, [...this.there(sample), ...[...this.layers.born].filter((id) => this.sampleOf(id) === sample)]);
    this.layers.tell([], true);
    this.host.say(`Not done. ${problem.message}`);
  }

  counts() {
    const [one, other] = [this.layers.counts(), this.samples.counts()];
    const moves = this.writes && [...this.orders].some(([sample, order]) => {
      const there = this.there(sample).filter((id) => order.includes(id));
      return there.join() !== order.filter((id) => there.includes(id)).join();
    });
    return { unsaved: one.unsaved + other.unsaved + (moves ? 1 : 0), refused: one.refused + other.refused, clashes: one.clashes + other.clashes };
  }

  /** Send all that can be sent. */
  async flush() {
    await this.outboxes.sample.flush();
    await this.outboxes.layer.flush();
  }
}

/** @param {Entry} entry @param {(id: string) => string} now */
function rename(entry, now) {
  if (entry.order) entry.order = { before: entry.order.before.map(now), after: entry.order.after.map(now) };
  entry.unplaced = entry.unplaced.map(now);
  entry.at = { before: now(entry.at.before), after: now(entry.at.after) };
}
