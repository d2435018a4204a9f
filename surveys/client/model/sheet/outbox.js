/**
 * What is to be sent, in batches, and what becomes of it. The service takes a batch whole or not at all; so what it names as wrong is taken
 * out and stays marked, and the rest is sent again.
 */

import { Lost, Problem } from "../problems.js";
import { removal } from "./removals.js";

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Edit} Edit */
/** @typedef {import("./sheet.js").Row} Row */
/** @typedef {import("./steps.js").Steps} Steps */

/**
 * @typedef {{ op: "create" | "change" | "remove", id?: string, version?: number, values?: Record<string, unknown> }} Operation
 * @typedef {{ op: string, id: string, version: number, record: Row | null }} Outcome
 *
 * @typedef {object} Item one row of a batch
 * @property {string} id
 * @property {Operation} operation
 * @property {Map<string, Edit>} edits what of the sheet it carries
 *
 * @typedef {{ key: string, items: Item[] }} Batch
 *
 * @typedef {object} Ways how the outbox reaches the service
 * @property {(operations: Operation[], key: string) => Promise<Outcome[]>} send
 * @property {() => Promise<void>} catchUp learn what others changed
 * @property {() => string} newKey
 * @property {(batch: Batch | null) => void} underway told what is on its way, so that it can be kept
 */

export const MOST = 5000;
/** Refusals that are of the moment and not of what was sent. */
const PASSING = new Set([401, 429, 502, 503, 504]);

export class Outbox {
  /**
   * @param {Sheet} sheet
   * @param {Steps} steps
   * @param {readonly (readonly string[])[]} together fields that are judged as one
   * @param {Ways} ways
   */
  constructor(sheet, steps, together, ways) {
    this.sheet = sheet;
    this.steps = steps;
    this.together = together;
    this.ways = ways;
    this.busy = false;
    /** @type {Batch | null} a batch of which it is not known whether it arrived */
    this.unsure = null;
  }

  /**
   * Send all that can be sent. What cannot be reached or is refused for the moment is thrown, and stays to be sent.
   */
  async flush() {
    if (this.busy) return;
    this.busy = true;
    try {
      for (let batch = this.next(); batch; batch = this.next()) await this.deliver(batch);
    } finally {
      this.busy = false;
    }
  }

  /** @returns {Batch | null} */
  next() {
    if (this.unsure) return this.unsure;
    const items = [...this.removals(), ...this.changes(), ...this.creations()].slice(0, MOST);
    return items.length > 0 ? { key: this.ways.newKey(), items } : null;
  }

  /** @returns {Item[]} */
  removals() {
    return [...this.sheet.gone].filter(([id, one]) => one.state === "unsaved" && !this.sheet.born.has(id)).map(([id]) => (
      { id, operation: { op: "remove", id, version: this.sheet.rows.get(id)?.version ?? 0 }, edits: new Map() }));
  }

  /** @returns {Item[]} */
  changes() {
    /** @type {Item[]} */
    const found = [];
    for (const id of this.sheet.edits.keys()) {
      const row = this.sheet.rows.get(id);
      if (!row || this.sheet.born.has(id) || this.sheet.gone.has(id)) continue;
      const edits = this.ready(id);
      if (edits.size > 0) found.push({ id, operation: { op: "change", id, version: row.version, values: values(edits) }, edits });
    }
    return found;
  }

  /** New rows, in their order, once they have what a record needs. @returns {Item[]} */
  creations() {
    /** @type {Item[]} */
    const found = [];
    for (const id of this.sheet.born) {
      if (this.sheet.gone.has(id)) continue;
      const edits = this.ready(id);
      const lacks = [...this.sheet.columns.values()].some((column) => column.required && !edits.has(column.name));
      if (edits.size > 0 && !lacks) found.push({ id, operation: { op: "create", values: values(edits) }, edits });
    }
    return found;
  }

  /** @param {string} id @returns {Map<string, Edit>} */
  ready(id) {
    const found = new Map();
    for (const [name, edit] of this.sheet.edits.get(id) ?? []) {
      if (!edit.fault && !edit.refusal && !edit.clash) found.set(name, edit);
    }
    return found;
  }

  /** @param {Batch} batch */
  async deliver(batch) {
    this.depart(batch);
    try {
      const outcomes = await this.ways.send(batch.items.map((item) => item.operation), batch.key);
      this.arrived(batch);
      this.accept(batch, outcomes);
    } catch (error) {
      if (error instanceof Lost || !(error instanceof Problem) || PASSING.has(error.status)) {
        // It may have been done and the answer lost: it is sent again as it was, under the same key.
        this.land(batch);
        this.unsure = error instanceof Problem && [401, 429, 503].includes(error.status) ? null : batch;
        if (!this.unsure) this.ways.underway(null);
        throw error;
      }
      this.arrived(batch);
      await this.refused(batch, error);
    }
  }

  /** @param {Batch} batch */
  depart(batch) {
    for (const item of batch.items) {
      for (const edit of item.edits.values()) this.sheet.flight.add(edit);
      const gone = this.sheet.gone.get(item.id);
      if (item.operation.op === "remove" && gone) this.sheet.gone.set(item.id, { ...gone, state: "saving" });
    }
    this.ways.underway(batch);
    this.sheet.tell(batch.items.map((item) => item.id));
  }

  /** @param {Batch} batch */
  arrived(batch) {
    this.unsure = null;
    this.ways.underway(null);
    this.land(batch);
  }

  /** @param {Batch} batch */
  land(batch) {
    for (const item of batch.items) {
      for (const edit of item.edits.values()) this.sheet.flight.delete(edit);
      const gone = this.sheet.gone.get(item.id);
      if (item.operation.op === "remove" && gone?.state === "saving") this.sheet.gone.set(item.id, { ...gone, state: "unsaved" });
    }
    this.sheet.tell(batch.items.map((item) => item.id));
  }

  /** @param {Batch} batch @param {Outcome[]} outcomes */
  accept(batch, outcomes) {
    const { sheet } = this;
    const renamed = new Map();
    /** @type {string[]} */
    const removed = [];
    for (const [index, item] of batch.items.entries()) {
      const outcome = outcomes[index];
      if (!outcome) continue;
      if (outcome.op === "remove" || !outcome.record) removed.push(item.id);
      else {
        if (outcome.op === "create") {
          renamed.set(item.id, outcome.id);
          this.steps.rename(item.id, outcome.id);
          if (sheet.rows.has(item.id)) sheet.rename(item.id, outcome.record);
          else sheet.rows.set(outcome.id, outcome.record);
        }
        this.settle(outcome.record, item.edits);
      }
    }
    sheet.forget(removed);
    sheet.tell(outcomes.map((outcome) => outcome.id), renamed.size > 0, renamed);
  }

  /** What was sent is saved; what was typed since stays to be sent. @param {Row} record @param {Map<string, Edit>} sent */
  settle(record, sent) {
    const { sheet } = this;
    const saved = sheet.saved.get(record.id) ?? new Set();
    for (const [name, edit] of sent) {
      const now = sheet.edit(record.id, name);
      if (now === edit) {
        sheet.drop(record.id, name);
        saved.add(name);
      } else if (now) sheet.edits.get(record.id)?.set(name, { ...now, base: record[name], clash: false });
    }
    sheet.saved.set(record.id, saved);
    sheet.rebase(record);
  }

  /** @param {Batch} batch @param {Problem} problem */
  async refused(batch, problem) {
    if (problem.status === 412) {
      if (problem.current) this.sheet.load([problem.current]);
      await this.ways.catchUp();
      // If what is known is still as old as it was, it would be refused for ever.
      if (batch.items.every((item) => item.operation.version === this.sheet.rows.get(item.id)?.version)) this.markAll(batch, problem.message);
      return;
    }
    if (problem.status === 403) {
      this.markAll(batch, problem.message);
      return;
    }
    if (this.markNamed(batch, problem)) return;
    if (batch.items.length === 1) {
      if (problem.status === 404) await this.ways.catchUp();
      this.markAll(batch, problem.message);
      return;
    }
    // It does not say which rows are at fault; halves will.
    const middle = Math.ceil(batch.items.length / 2);
    await this.deliver({ key: this.ways.newKey(), items: batch.items.slice(0, middle) });
    await this.deliver({ key: this.ways.newKey(), items: batch.items.slice(middle) });
  }

  /** Mark what the service names as wrong. @param {Batch} batch @param {Problem} problem @returns {boolean} whether it named anything */
  markNamed(batch, problem) {
    /** @type {Map<Item, Map<string, string>>} */
    const named = new Map();
    for (const place of problem.places) {
      const found = /^\/operations\/(\d+)(?:\/values\/([^/]+))?/.exec(place.pointer);
      const item = found && batch.items[Number(found[1])];
      if (!item) continue;
      const reasons = named.get(item) ?? new Map();
      const name = found[2] ?? "";
      reasons.set(name, reasons.has(name) ? `${reasons.get(name)} ${place.detail}` : place.detail);
      named.set(item, reasons);
    }
    for (const [item, reasons] of named) this.markRow(item, reasons);
    this.sheet.tell([...named.keys()].map((item) => item.id));
    return named.size > 0;
  }

  /**
   * Whether a row is still as it was sent. What was typed since answers the refusal before it came: the row is sent again as it is now.
   * @param {Item} item
   */
  stands(item) {
    if (item.operation.op === "remove") return true;
    const now = this.ready(item.id);
    return now.size === item.edits.size && [...item.edits].every(([name, edit]) => now.get(name) === edit);
  }

  /** @param {Item} item @param {Map<string, string>} reasons */
  markRow(item, reasons) {
    if (!this.stands(item)) return;
    for (const [name, reason] of reasons) {
      const partners = [...new Set([name, ...this.together.filter((group) => group.includes(name)).flat()])].filter((one) => item.edits.has(one));
      if (partners.length === 0) return this.markWhole(item, reason);
      for (const partner of partners) this.sheet.refuse(item.id, partner, reason);
    }
  }

  /** @param {Item} item @param {string} reason */
  markWhole(item, reason) {
    if (item.operation.op === "remove") this.sheet.gone.set(item.id, { ...(this.sheet.gone.get(item.id) ?? removal(this.sheet, item.id)), state: "refused", reason });
    for (const name of item.edits.keys()) this.sheet.refuse(item.id, name, reason);
  }

  /** @param {Batch} batch @param {string} reason */
  markAll(batch, reason) {
    for (const item of batch.items.filter((one) => this.stands(one))) this.markWhole(item, reason);
    this.sheet.tell(batch.items.map((item) => item.id), batch.items.some((item) => item.operation.op === "remove"));
  }
}

/** @param {Map<string, Edit>} edits */
function values(edits) {
  return Object.fromEntries([...edits].filter(([, edit]) => edit.value !== undefined).map(([name, edit]) => [name, edit.value]));
}
