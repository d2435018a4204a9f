/** What is typed at the bench and not saved, as plain values that outlast a reload, an ended session and a lost connection. */

import { pack as packSheet, unpack as unpackSheet } from "../sheet/keep.js";

/** @typedef {import("./desk.js").Bench} Bench */
/** @typedef {import("../sheet/outbox.js").Batch} Batch */
/** @typedef {import("../sheet/sheet.js").Typed} Typed */

/**
 * @typedef {object} Kept
 * @property {"bench"} form
 * @property {unknown} layers
 * @property {unknown} samples
 * @property {[sample: string, order: string[]][]} orders
 */

/** @param {Bench} bench @param {{ layer: Batch | null, sample: Batch | null }} underway @returns {Kept | null} */
export function pack(bench, underway) {
  const layers = packSheet(bench.layers, underway.layer);
  const samples = packSheet(bench.samples, underway.sample);
  if (!layers && !samples && bench.counts().unsaved === 0) return null;
  return { form: "bench", layers, samples, orders: [...bench.orders] };
}

/** The samples that what is kept belongs to. @param {unknown} kept @returns {string[]} */
export function samplesOf(kept) {
  return isKept(kept) ? kept.orders.map(([sample]) => sample) : [];
}

/**
 * Put back what was kept over the records as they are now; their samples must be loaded already.
 * @param {Bench} bench @param {unknown} kept
 * @returns {{ lost: Typed[], many: number }}
 */
export function unpack(bench, kept) {
  if (!isKept(kept)) return { lost: [], many: 0 };
  const before = bench.layers.born.size;
  const layers = unpackSheet(bench.layers, kept.layers);
  const samples = unpackSheet(bench.samples, kept.samples);
  const names = /** @type {{ born?: [string, unknown][] } | null} */ (kept.layers)?.born ?? [];
  const made = [...bench.layers.born].slice(before);
  const ids = new Map(names.map(([id], index) => [id, made[index] ?? id]));
  for (const [sample, order] of kept.orders) {
    if (!bench.orders.has(sample)) continue;
    bench.orders.set(sample, order.map((id) => ids.get(id) ?? id));
    bench.arrange(sample);
  }
  if (layers.batch) bench.outboxes.layer.unsure = layers.batch;
  if (samples.batch) bench.outboxes.sample.unsure = samples.batch;
  return { lost: [...layers.lost, ...samples.lost], many: layers.many + samples.many };
}

/** @param {unknown} kept @returns {kept is Kept} */
function isKept(kept) {
  const one = /** @type {Partial<Kept> | null} */ (kept);
  return typeof one === "object" && one !== null && one.form === "bench" && Array.isArray(one.orders);
}
