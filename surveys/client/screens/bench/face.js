/** What the bench looks like: the sample and its tools at the head, the section at the left, fields and what is lacking beside it. */

import { path, withQuery } from "../../lib/paths.js";
import { count } from "../../lib/words.js";
import { ENTERED, OF_SAMPLE, allowed } from "../../model/bench/fields.js";
import { button, h, link, refill } from "../parts/dom.js";
import { historyFold } from "../parts/history.js";
import { talkMark } from "../parts/talking.js";
import { FieldBox } from "./field.js";
import { lackingPanel } from "./lacking.js";
import { Section, key } from "./section.js";

/** @typedef {import("../../model/bench/desk.js").Bench} Bench */
/** @typedef {import("../../model/bench/desk.js").Of} Of */
/** @typedef {import("../../model/bench/stack.js").Layer} Layer */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("./keys.js").Deed} Deed */

/**
 * @typedef {object} Host
 * @property {Bench} bench
 * @property {string} code
 * @property {AbortSignal} signal
 * @property {Row} sample
 * @property {Row} element
 * @property {boolean} writes
 * @property {import("../../grid/swatches.js").Swatches} swatches
 * @property {() => void} written
 * @property {(of: Of, name: string) => void} here
 * @property {() => string} layer
 * @property {(id: string) => void} chosen
 * @property {(id: string) => void} entered
 * @property {(layer: Layer) => import("../../api/sheets.js").Colour | null} colour
 * @property {(deed: Deed) => void} deed
 * @property {(number: string) => void} go
 * @property {import("./pictures.js").BenchPictures} pictures
 * @property {(id: string, name?: string) => number} talk how many threads are open on a record, or on one field of it
 *
 * @typedef {object} State
 * @property {Layer[]} stack
 * @property {string} current
 * @property {Record<string, string>} texts
 * @property {import("../../model/bench/lacks.js").Lack[]} lacks
 * @property {{ examined: number, whole: number }} progress
 * @property {{ unsaved: number, refused: number, clashes: number }} counts
 * @property {string} waiting
 */

/** @type {readonly (readonly [deed: Deed, text: string, key: string])[]} */
const TOOLS = [
  ["above", "Add above", "A"], ["below", "Add below", "B"], ["split", "Split", "S"], ["merge", "Merge down", "M"], ["up", "Move up", "U"],
  ["down", "Move down", "D"], ["copy", "Copy", "C"], ["remove", "Remove", "X"], ["repeat", "Repeat", "R"], ["undo", "Undo", "Z"], ["redo", "Do again", "Y"],
];

const STORED = /^[0-9a-f]{8}-[0-9a-f-]{27}$/;

export class Face {
  /** @param {Host} host */
  constructor(host) {
    this.host = host;
    const { bench, writes } = host;
    const fieldHost = { bench, swatches: host.swatches, written: host.written, here: host.here, talk: host.talk };
    this.layerFields = allowed(ENTERED, writes).map((one) => new FieldBox(fieldHost, "layer", one));
    this.sampleFields = allowed(OF_SAMPLE, writes).map((one) => new FieldBox(fieldHost, "sample", one));
    this.section = new Section({ chosen: host.chosen, entered: host.entered, colour: host.colour, talk: host.talk });
    this.sampleTalk = h("span");
    this.lacking = lackingPanel((place) => this.goTo(place));
    this.number = h("input", { id: "to-sample", size: 10, autocomplete: "off" });
    this.counts = h("p", { class: "benchcounts" });
    this.saving = h("span", { class: "counts" });
    this.said = h("span", { class: "said", role: "status" });
    this.layerTitle = h("h2", { id: "bench-layer" });
    this.past = { layer: "", place: h("div") };
    this.layerPart = h("section", { class: "entry", "aria-labelledby": "bench-layer" }, this.layerTitle, h("div", { class: "benchfields" }, this.layerFields.map((one) => one.element)), this.past.place);
    this.element = h("div", { class: "bench" }, this.head(), writes ? this.tools() : h("p", { class: "hint" }, "You may read this, but not change it."),
      h("p", { class: "benchstatus" }, this.saving, " ", this.said),
      h("div", { class: "benchbody" }, h("div", { class: "left" }, this.section.element, this.lacking.element, key()), host.pictures.element, h("div", { class: "beside" }, this.layerPart,
        h("section", { class: "entry", "aria-labelledby": "bench-sample" }, h("h2", { id: "bench-sample" }, `Sample ${host.sample["number"]}`, this.sampleTalk), writes && this.examinations(),
          h("div", { class: "benchfields" }, this.sampleFields.map((one) => one.element)),
          historyFold({ code: host.code, signal: host.signal, id: host.sample.id }, "History of this sample")))));
  }

  head() {
    const { host } = this;
    const { sample, element } = host;
    const space = String(sample["space_number"]);
    return h("div", { class: "benchhead" },
      h("p", { class: "whence" }, `${sample["element_class"]} `, link(path("projects", host.code, "registers", "elements", element.id), String(sample["element_code"])), element["position"] ? `, ${element["position"]}` : "",
        sample["part"] ? `, ${sample["part"]}` : "", " · ", link(path("projects", host.code, "spaces", space), `space ${space}`), " · ",
        link(withQuery(path("projects", host.code, "registers", "layers"), { search: String(sample["number"]) }), "in the register")),
      this.counts,
      h("form", { class: "benchgo", onsubmit: (/** @type {SubmitEvent} */ event) => {
        event.preventDefault();
        host.go(this.number.value.trim());
      } }, tool("Previous sample", "P", () => host.deed("previous")), tool("Next sample", "N", () => host.deed("next")), tool("Comments", "Q", () => host.deed("talk")), host.pictures.toggle,
        h("label", { for: this.number.id }, h("kbd", { "aria-hidden": "true" }, "G"), " Go to sample"), this.number, h("button", { type: "submit", class: "quiet" }, "Go")));
  }

  tools() {
    return h("div", { class: "benchtools", role: "group", "aria-label": "Work on the layers" }, TOOLS.map(([deed, text, key]) => tool(text, key, () => this.host.deed(deed))));
  }

  examinations() {
    return h("p", { class: "buttons" }, tool("Examined in visible light today by me", "V", () => this.host.deed("visible")), tool("Examined under UV today by me", "F", () => this.host.deed("uv")));
  }

  /** @param {string} name */
  layerField(name) {
    return this.layerFields.find((one) => one.column.name === name);
  }

  inLayerField() {
    return this.layerFields.some((one) => one.input === document.activeElement);
  }

  /** @param {string} name */
  sampleField(name) {
    return this.sampleFields.find((one) => one.column.name === name);
  }

  /** @param {string} sample @param {string} layer */
  bind(sample, layer) {
    for (const one of this.sampleFields) one.bind(sample);
    for (const one of this.layerFields) one.bind(layer);
    this.layerPart.hidden = layer === "";
    if (layer === this.past.layer) return;
    this.past.layer = layer;
    // A layer that is not saved yet has no history.
    refill(this.past.place, STORED.test(layer) && historyFold({ code: this.host.code, signal: this.host.signal, id: layer }, "History of this layer"));
  }

  /** @param {string} layer */
  rename(layer) {
    for (const one of this.layerFields) one.rename(layer);
  }

  commit() {
    for (const one of [...this.layerFields, ...this.sampleFields]) one.commit();
  }

  /** @param {State} state @param {Map<string, string>} renamed */
  draw(state, renamed) {
    const { stack, current, texts } = state;
    const position = stack.findIndex((one) => one.id === current) + 1;
    this.section.draw({ stack, current, sample: texts, substrate: String(this.host.element["substrate"] ?? ""), state: (id) => this.stateOf(id) }, renamed);
    for (const one of [...this.layerFields, ...this.sampleFields]) one.refresh();
    refill(this.sampleTalk, talkMark(this.host.talk(this.host.sample.id)));
    this.layerTitle.textContent = position > 0 ? `Layer ${position} of ${stack.length}` : "No layers yet";
    this.counts.textContent = `${count(stack.length, "layer")} so far · ${state.progress.examined} of ${count(state.progress.whole, "sample")} of this space examined`;
    this.lacking.draw(state.lacks, this.host.writes);
    this.drawSaving(state);
  }

  /** @param {State} state */
  drawSaving({ counts, waiting }) {
    const parts = [
      counts.unsaved > 0 ? `○ ${counts.unsaved} unsaved.` : this.host.writes ? `● All ${counts.refused > 0 ? "else " : ""}saved.` : "", waiting, counts.refused > 0 ? `✕ ${count(counts.refused, "field")} refused or needed.` : "",
      counts.clashes > 0 ? `≠ ${counts.clashes} changed by somebody else too.` : "",
    ];
    const text = parts.filter(Boolean).join(" ");
    if (this.saving.textContent !== text) this.saving.textContent = text;
  }

  /** The weightiest state of a layer's fields. @param {string} id */
  stateOf(id) {
    const states = new Set(ENTERED.map((one) => this.host.bench.layers.cell(id, one.name).state));
    if (this.host.bench.layers.born.has(id) && this.host.bench.layers.text(id, "kind") === "") return "needs its kind";
    for (const [state, word] of /** @type {const} */ ([["refused", "✕ refused"], ["clash", "≠ two values"], ["saving", "◌ saving"], ["unsaved", "○ unsaved"], ["saved", "✓ saved"]])) {
      if (states.has(state)) return word;
    }
    return "";
  }

  /** @param {import("../../model/bench/lacks.js").Place} place */
  goTo(place) {
    if (place.of === "layer") this.host.chosen(place.id);
    (place.of === "layer" ? this.layerField(place.name) : this.sampleField(place.name))?.focus();
  }

  /** @param {string} text */
  say(text) {
    this.said.textContent = text;
  }

  /** Keys while one types. @param {KeyboardEvent} event */
  pressedInField(event) {
    const fields = this.layerFields.some((one) => one.input === event.target) ? this.layerFields : this.sampleFields;
    const at = fields.findIndex((one) => one.input === event.target);
    const field = fields[at];
    if (!field) {
      if (event.target === this.number && event.key === "Escape") this.section.focus(this.host.layer());
      return;
    }
    if (this.inField(event, field, fields, at)) event.preventDefault();
  }

  /** @param {KeyboardEvent} event @param {FieldBox} field @param {FieldBox[]} fields @param {number} at @returns {boolean} whether the key was ours */
  inField(event, field, fields, at) {
    const { key } = event;
    const long = field.input instanceof HTMLTextAreaElement;
    if (event.ctrlKey || event.metaKey) return this.chord(key.toLowerCase(), event.shiftKey, field);
    if (event.altKey) return false;
    if (key === "Escape") {
      field.take();
      field.commit();
      this.host.chosen(this.host.layer());
      return true;
    }
    if (key === "Enter" && !(long && !event.shiftKey && field.touched)) {
      field.take();
      field.commit();
      fields[at + (event.shiftKey ? -1 : 1)]?.focus();
      return true;
    }
    if (key === "F2" && event.shiftKey) {
      this.host.deed("talk");
      return true;
    }
    if (key === "F4" && field.of === "layer") {
      this.host.deed("repeat");
      return true;
    }
    if (key === "PageUp" || key === "PageDown") return this.along(field, key === "PageUp" ? 1 : -1);
    if (key === "ArrowUp" || key === "ArrowDown") return !long && (field.walk(key === "ArrowDown" ? 1 : -1) || this.along(field, key === "ArrowUp" ? 1 : -1));
    return false;
  }

  /** @param {string} key @param {boolean} shift @param {FieldBox} field */
  chord(key, shift, field) {
    if (key !== "z" && key !== "y") return false;
    // What is being typed is taken back by the browser itself.
    if (field.touched) return false;
    this.host.deed(key === "y" || shift ? "redo" : "undo");
    return true;
  }

  /** The same field of the layer above or beneath. @param {FieldBox} field @param {1 | -1} by */
  along(field, by) {
    if (field.of !== "layer") return false;
    const order = this.host.bench.orders.get(this.host.sample.id) ?? [];
    const next = order[order.indexOf(this.host.layer()) + by];
    if (!next) return true;
    field.input.blur();
    this.host.chosen(next);
    field.focus();
    return true;
  }
}

/** @param {string} text @param {string} key @param {() => void} act */
function tool(text, key, act) {
  const made = button("", act, { class: "quiet", "aria-keyshortcuts": key });
  refill(made, text, " ", h("kbd", { "aria-hidden": "true" }, key));
  return made;
}
