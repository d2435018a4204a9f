/** What is said about the layer in hand, about the sample, or about the field in which one is. */

/** @typedef {import("./face.js").Face} Face */
/** @typedef {import("../parts/talking.js").Talking} Talking */
/** @typedef {import("../../model/bench/desk.js").Bench} Bench */

/**
 * @param {Talking} talking
 * @param {Face} face
 * @param {{ bench: Bench, sample: import("../../model/types.js").Row, layer: string, position: number, say: (text: string) => void }} at
 */
export function openTalk(talking, face, { bench, sample, layer, position, say }) {
  const box = [...face.layerFields, ...face.sampleFields].find((one) => one.input === document.activeElement);
  const field = box ? { field: box.column.name, label: box.column.label } : {};
  const back = () => (box ? box.focus() : face.section.focus(layer));
  const number = String(sample["number"]);
  if (box?.of === "sample" || layer === "") talking.open({ type: "sample", id: sample.id, name: number, ...field, back });
  else if (bench.layers.born.has(layer)) say("This layer is not saved yet. It can be commented on once it is.");
  else talking.open({ type: "layer", id: layer, name: `${number}/${position}`, ...field, back });
}
