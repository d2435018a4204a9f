/** A small chart for the tests: three samples of two classes, three generations, one layer that stands nowhere. */

export function cell(layer, generation, more = {}) {
  const [sample, position] = layer.split("/");
  return {
    layer, layer_id: `id ${layer}`, version: 1, sample, position: Number(position), kind: "paint", completeness: "present", colour: "cream", generation,
    confidence: generation === null ? null : 0.95, runner_up: null, runner_up_confidence: null, munsell: "10YR 8/2", lab: [81, 2, 13], srgb: "#d2c6b2",
    in_gamut: true, uv_colour: "", uv_strength: "", held: false, ...more,
  };
}

export function generation(ordinal, more = {}) {
  return { id: `g${ordinal}`, version: 1, ordinal, label: "", description: "", technique: "", earliest: null, latest: null, earliest_by: [], latest_by: [], phase: null, phase_id: null, distinctness: ordinal === 1 ? null : 0.9, ...more };
}

export function sample(name, kind) {
  return { sample: name, sample_id: `s ${name}`, element: `E-${name}`, element_id: `e ${name}`, class: kind, position: "", base_state: "complete", top_state: "complete" };
}

export function chart(more = {}) {
  return {
    project: "HALL", space: "101", space_id: "x", space_name: "", correlated_at: null, correlated_by: "", current: true, notes: [], cautions: [],
    generations: [generation(1), generation(2), generation(3)],
    samples: [sample("A", "wall"), sample("B", "wall"), sample("C", "door leaf")],
    cells: [cell("A/1", 1), cell("A/2", 2), cell("A/3", 2), cell("B/1", 1), cell("B/2", 3), cell("C/1", null), cell("C/2", 2)],
    ...more,
  };
}
