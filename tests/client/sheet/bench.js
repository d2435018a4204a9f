/** What the tests of the sheet share: a register of samples, and a service that answers as the real one does. */

import { Lost, Problem } from "../../../surveys/client/model/problems.js";
import { Outbox } from "../../../surveys/client/model/sheet/outbox.js";
import { References } from "../../../surveys/client/model/sheet/references.js";
import { Sheet } from "../../../surveys/client/model/sheet/sheet.js";
import { Steps } from "../../../surveys/client/model/sheet/steps.js";

export const COLUMNS = [
  { name: "number", label: "Number", type: "text", editable: true, required: true, width: 100 },
  { name: "element", label: "Element", type: "reference", editable: true, required: true, refers: "elements", human: "code", shows: "element_code", one: "element", width: 100 },
  { name: "part", label: "Part", type: "text", editable: true, width: 100 },
  { name: "height_mm", label: "Height", type: "number", unit: "mm", editable: true, width: 100 },
  { name: "taken_on", label: "Taken on", type: "date", editable: true, width: 100 },
  { name: "status", label: "Status", type: "word", words: "sample_statuses", editable: true, width: 100 },
  { name: "mount", label: "Mount", type: "list", editable: true, width: 100 },
  { name: "layer_count", label: "Layers", type: "whole", editable: false, width: 100 },
];
export const WORDS = { sample_statuses: ["planned", "taken", "mounted", "set aside"] };

export function references() {
  const found = new References();
  found.set("elements", [["e1", "101-BB"], ["e2", "101-DL"], ["e3", "12"]]);
  return found;
}

export function row(id, more = {}) {
  return { id, version: 1, number: id.toUpperCase(), element: "e1", element_code: "101-BB", part: "", height_mm: null, taken_on: null, status: "taken", mount: "", layer_count: 0, ...more };
}

/** A service of records with versions; it refuses what it is told to refuse, all or nothing. */
export class Service {
  constructor(rows) {
    this.rows = new Map(rows.map((one) => [one.id, { ...one }]));
    this.batches = [];
    this.keys = new Map();
    this.lost = 0;
    this.faults = () => null;
    this.made = 0;
    this.gate = null;
  }

  async send(operations, key) {
    if (this.gate) await this.gate;
    if (this.lost > 0) {
      this.lost -= 1;
      throw new Lost();
    }
    if (this.keys.has(key)) return this.keys.get(key);
    this.batches.push(structuredClone(operations));
    const outcomes = this.done(operations);
    this.keys.set(key, outcomes);
    if (this.loseAnswer) {
      this.loseAnswer = false;
      throw new Lost();
    }
    return outcomes;
  }

  done(operations) {
    const problem = this.faults(operations);
    if (problem) throw problem;
    for (const [at, one] of operations.entries()) {
      const current = this.rows.get(one.id);
      if (one.op !== "create" && !current) throw new Problem(404, "not-found", "There is no such sample.");
      if (current && one.version !== current.version) {
        throw new Problem(412, "stale", "It was changed meanwhile.", [{ pointer: `/operations/${at}`, code: "stale", detail: "" }], { ...current });
      }
    }
    return operations.map((one) => this.one(one));
  }

  one(operation) {
    if (operation.op === "remove") {
      this.rows.delete(operation.id);
      return { op: "remove", id: operation.id, version: 9, record: null };
    }
    const id = operation.id ?? `made-${(this.made += 1)}`;
    const before = this.rows.get(id) ?? row(id, { version: 0, number: "", element: null, status: "" });
    const now = { ...before, ...operation.values, version: before.version + 1 };
    this.rows.set(id, now);
    return { op: operation.op, id, version: now.version, record: { ...now } };
  }

  /** Somebody else writes. */
  elsewhere(id, values) {
    const before = this.rows.get(id);
    this.rows.set(id, { ...before, ...values, version: before.version + 1 });
    return { ...this.rows.get(id) };
  }
}

/** The faults of named cells, as the service tells them. */
export function faults(...told) {
  return new Problem(422, "invalid", "Not acceptable.", told.map(([at, name, detail]) => ({ pointer: `/operations/${at}${name ? `/values/${name}` : ""}`, code: "invalid", detail })));
}

export function bench(rows = [row("s1"), row("s2"), row("s3")], options = {}) {
  const service = new Service(rows);
  const sheet = new Sheet(COLUMNS, { words: WORDS, references: references() });
  const steps = new Steps(sheet, { bears: options.bears ?? false });
  let keys = 0;
  const underway = [];
  const outbox = new Outbox(sheet, steps, options.together ?? [], {
    send: (operations, key) => service.send(operations, key),
    catchUp: async () => sheet.load([...service.rows.values()].map((one) => ({ ...one }))),
    newKey: () => `key-${(keys += 1)}`,
    underway: (batch) => underway.push(batch),
  });
  sheet.load(rows.map((one) => ({ ...one })));
  return { service, sheet, steps, outbox, underway };
}
