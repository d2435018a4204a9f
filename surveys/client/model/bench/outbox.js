/** What is sent of a stack: the typed fields as from any sheet, and with them where each layer shall stand. */

import { Outbox } from "../sheet/outbox.js";
import { placings } from "./plan.js";

/** @typedef {import("../sheet/outbox.js").Batch} Batch */
/** @typedef {import("../sheet/outbox.js").Item} Item */
/** @typedef {import("../problems.js").Problem} Problem */

/**
 * @typedef {object} Stacks what the outbox asks of the bench
 * @property {() => string[]} samples
 * @property {(sample: string) => string[]} there the layers as the service has them
 * @property {(sample: string) => string[]} order the layers as they are wanted
 * @property {(problem: Problem) => boolean} revert take back the last act on the stack; false if there is none
 * @property {(problem: Problem) => void} giveUp show the stacks as the service has them
 */

export class StackOutbox extends Outbox {
  /**
   * @param {import("../sheet/sheet.js").Sheet} sheet @param {import("../sheet/steps.js").Steps} steps @param {readonly (readonly string[])[]} together
   * @param {import("../sheet/outbox.js").Ways} ways @param {Stacks} stacks
   */
  constructor(sheet, steps, together, ways, stacks) {
    super(sheet, steps, together, ways);
    this.stacks = stacks;
  }

  /** @override @returns {Batch | null} */
  next() {
    if (this.unsure) return this.unsure;
    const made = this.creations();
    const items = new Map([...this.removals(), ...this.changes(), ...made].map((item) => [item.id, item]));
    const placed = this.stacks.samples().flatMap((sample) => this.placed(sample, items));
    // A new layer whose place could not be told along with a move waits for it.
    for (const item of made) items.delete(item.id);
    const all = [...items.values(), ...placed];
    return all.length > 0 ? { key: this.ways.newKey(), items: all } : null;
  }

  /** The rows that say where layers go, in the order in which they must be read. @param {string} sample @param {Map<string, Item>} items */
  placed(sample, items) {
    const wanted = this.stacks.order(sample).filter((id) => !this.sheet.born.has(id) || items.has(id));
    return placings(this.stacks.there(sample), wanted).map(({ id, position }) => {
      const item = items.get(id) ?? this.untouched(id);
      items.delete(id);
      return { ...item, operation: { ...item.operation, values: { ...item.operation.values, position } } };
    });
  }

  /** @param {string} id @returns {Item} */
  untouched(id) {
    return { id, operation: { op: "change", id, version: this.sheet.rows.get(id)?.version ?? 0 }, edits: new Map() };
  }

  /** Layers that are moved aside by an act are other versions now, though it did not name them. @override @param {Batch} batch */
  async deliver(batch) {
    await super.deliver(batch);
    if (structural(batch)) await this.ways.catchUp();
  }

  /** What is wrong with a field stays marked there. An act on the stack that cannot be is taken back as a whole. @override @param {Batch} batch @param {Problem} problem */
  async refused(batch, problem) {
    if (problem.status === 412 || !structural(batch) || namesField(batch, problem)) {
      await super.refused(batch, problem);
      return;
    }
    if (!this.stacks.revert(problem)) {
      this.stacks.giveUp(problem);
      this.markAll(batch, problem.message);
    }
  }
}

/** @param {Batch} batch */
function structural(batch) {
  return batch.items.some(({ operation }) => operation.op !== "change" || "position" in (operation.values ?? {}));
}

/** @param {Batch} batch @param {Problem} problem */
function namesField(batch, problem) {
  return problem.places.some((place) => {
    const found = /^\/operations\/(\d+)\/values\/([^/]+)/.exec(place.pointer);
    return found !== null && batch.items[Number(found[1])]?.edits.has(found[2] ?? "");
  });
}
