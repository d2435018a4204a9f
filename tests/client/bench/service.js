/** A service of one sample's layers that keeps positions 1..n as the real one does: rows are read in order, removals come last, and whoever is moved aside is another version. */

import { Lost, Problem } from "../../../surveys/client/model/problems.js";
import { Bench } from "../../../surveys/client/model/bench/desk.js";

export const WORDS = {
  layer_kinds: ["primer", "paint", "varnish", "soiling", "void"], lower_boundaries: ["sharp", "soiled"], completeness: ["present", "worn", "not reached"],
  uv_strengths: ["none", "weak", "moderate", "strong"], munsell_bases: ["exact chip"], base_states: ["complete", "stripped", "unknown"],
  top_states: ["complete", "lost", "unknown"], sample_statuses: ["taken", "examined"],
};
const BLANK = Object.fromEntries(["kind", "completeness", "colour", "munsell", "munsell_by", "first_colour", "sheen", "texture", "uv_colour", "uv_strength", "pigments", "binder", "tests", "lower_boundary", "notes"].map((name) => [name, ""]));

export function layer(id, position, more = {}) {
  return { ...BLANK, id, version: 1, sample: "s", sample_number: "S-1", position, kind: "paint", lab_l: null, lab_a: null, lab_b: null, thickness_um: null, generation: null, generation_ordinal: null, placed_by: "", ...more };
}

export const SAMPLE = { id: "s", version: 1, number: "S-1", base_state: "", top_state: "", status: "taken", examined_visible_on: null, examined_visible_by: "", examined_uv_on: null, examined_uv_by: "", notes: "" };

export class StackService {
  constructor(layers) {
    this.layers = layers;
    this.cited = new Set();
    this.lost = false;
    this.batches = [];
    this.sent = new Map();
    this.made = 0;
  }

  async send(operations, key) {
    if (this.lost) throw new Lost();
    if (!this.sent.has(key)) this.sent.set(key, this.done(structuredClone(operations)));
    if (this.loseAnswer) {
      this.loseAnswer = false;
      throw new Lost();
    }
    return this.sent.get(key);
  }

  done(operations) {
    for (const [at, one] of operations.entries()) {
      const current = this.layers.find((row) => row.id === one.id);
      if (one.op !== "create" && !current) throw new Problem(404, "not-found", "There is no such layer.");
      if (current && current.version !== one.version) throw new Problem(412, "stale", "Changed meanwhile.", [{ pointer: `/operations/${at}`, code: "stale", detail: "" }], { ...current });
      const munsell = one.values?.munsell ?? "";
      if (munsell.includes("99")) throw fault(at, "munsell", "There is no chroma 99 at this hue.");
      if (one.op === "remove" && this.cited.has(one.id)) throw new Problem(409, "cited", "This layer is cited by a tie. Withdraw it first.", [{ pointer: `/operations/${at}`, code: "cited", detail: "It is cited." }]);
    }
    const pile = [...this.layers];
    const ids = operations.map((one) => {
      const { position, ...values } = one.values ?? {};
      if (one.op === "create") {
        const made = layer(`made-${(this.made += 1)}`, 0, { version: 0, ...values });
        if (position !== undefined && position > pile.length + 1) throw fault(operations.indexOf(one), "position", "A hole.");
        pile.splice(position === undefined ? pile.length : position - 1, 0, made);
        return made.id;
      }
      const row = this.layers.find((each) => each.id === one.id);
      if (one.op === "change") {
        const next = Object.assign({ ...row }, values, { version: row.version + 1, touched: true });
        pile[pile.findIndex((each) => each.id === one.id)] = next;
        if (position !== undefined && position !== row.position) {
          pile.splice(pile.indexOf(next), 1);
          pile.splice(position - 1, 0, next);
        }
      }
      return one.id;
    });
    const gone = new Set(operations.filter((one) => one.op === "remove").map((one) => one.id));
    this.layers = pile.filter((row) => !gone.has(row.id)).map(({ touched, ...row }, index) => (
      { ...row, position: index + 1, version: row.position === index + 1 || touched ? row.version : row.version + 1 }));
    this.batches.push(operations);
    return operations.map((one, index) => {
      const record = this.layers.find((row) => row.id === ids[index]) ?? null;
      return { op: one.op, id: ids[index], version: record?.version ?? 9, record: record && { ...record } };
    });
  }
}

function fault(at, name, detail) {
  return new Problem(422, "invalid", detail, [{ pointer: `/operations/${at}/values/${name}`, code: "invalid", detail }]);
}

export function bench(layers = [], writes = true) {
  const service = new StackService(layers.map((one) => ({ ...one })));
  const [said, went] = [[], []];
  let keys = 0;
  const ways = (send, catchUp) => ({ send, catchUp, newKey: () => `key-${(keys += 1)}`, underway: () => {} });
  const sample = { ...SAMPLE };
  const sampleBatches = [];
  const made = new Bench(WORDS, {
    layers: ways((operations, key) => service.send(operations, key), async () => { made.load({ ...made.samples.rows.get("s") }, service.layers.map((one) => ({ ...one }))); }),
    samples: ways(async (operations) => {
      sampleBatches.push(operations);
      return operations.map((one) => ({ op: one.op, id: one.id, version: one.version + 1, record: { ...Object.assign(sample, one.values), version: (sample.version = one.version + 1) } }));
    }, async () => {}),
  }, writes, { say: (text) => said.push(text), goTo: (id) => went.push(id) });
  made.load({ ...sample }, service.layers.map((one) => ({ ...one })));
  return { bench: made, service, said, went, sampleBatches };
}

/** The stack in a few letters, lowest first: by what is in its colour, or its id. */
export function told(made, name = "colour") {
  return made.stack("s").map((one) => one.texts[name] || one.id);
}
