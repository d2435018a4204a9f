/** Taking what was read into the record: for each layer new, beside a standing one, or in place of named fields; both values shown. */

import { accept, lines as readLines } from "../../api/pictures.js";
import { all, vocabulary } from "../../api/records.js";
import { count } from "../../lib/words.js";
import { Problem } from "../../model/problems.js";
import { UNCALIBRATED } from "../../model/pictures/pictures.js";
import { UNKNOWN, first, leftToPerson, pairs, replaces, rows, told, wrong } from "../../model/pictures/accepting.js";
import { proper, surely, thickTold } from "../../model/pictures/lines.js";
import { h, newId, refill, stateOf } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";

/** @typedef {import("../../model/pictures/types.js").ReadLayer} ReadLayer */
/** @typedef {import("../../model/pictures/types.js").Traverse} Traverse */
/** @typedef {import("../../model/pictures/accepting.js").Choice} Choice */
/** @typedef {import("../../model/pictures/accepting.js").Deed} Deed */
/** @typedef {import("../../model/types.js").Row} Row */
/** @typedef {import("./work.js").PictureWork} PictureWork */

const DEEDS = /** @type {const} */ ([["leave", "leave out"], ["new", "a new layer"], ["beside", "beside the layer"], ["replace", "replace fields of"]]);

/** @param {PictureWork} work @param {Traverse} line @param {() => void} done @param {string} [said] why it is opened once more */
export async function openAccept(work, line, done, said = "") {
  const { sample, code, visit: { signal } } = work;
  if (!sample) return;
  const [layers, together, words] = await Promise.all([standingLayers(work), readLines(code, sample.id, signal), vocabulary()]);
  if (signal.aborted) return;
  const made = new AcceptDialog(work, line, layers, fitting(line, together), words["layer_kinds"] ?? [UNKNOWN], done);
  if (said) made.problem.show(new Problem(409, "changed", said));
  made.open();
}

/** The layers that stand in the record, lowest first. @param {PictureWork} work @returns {Promise<Row[]>} */
function standingLayers({ code, sample, visit: { signal } }) {
  return all(code, "layers", { sample: sample?.id ?? "", ordering: "position" }, signal);
}

/** Which layer of the record each read one seems to be. @param {Traverse} line @param {import("../../model/pictures/types.js").Lines} together @returns {Map<number, string>} */
function fitting(line, together) {
  /** @type {Map<number, string>} */
  const found = new Map();
  for (const one of together.layers) {
    const index = one.by_traverse[line.id];
    if (index !== null && index !== undefined && one.standing) found.set(index, one.standing);
  }
  return found;
}

class AcceptDialog {
  /** @param {PictureWork} work @param {Traverse} line @param {Row[]} layers @param {Map<number, string>} fits @param {readonly string[]} kinds @param {() => void} done */
  constructor(work, line, layers, fits, kinds, done) {
    this.work = work;
    this.line = line;
    this.layers = layers;
    this.done = done;
    this.read = proper(line);
    this.choices = first(this.read, layers, fits);
    this.problem = refusals();
    this.sum = h("p", { role: "status" });
    this.kinds = kinds;
    const kindId = newId("kind");
    const kind = this.kindChoice({ id: kindId }, (value) => this.allOfKind(value));
    this.kindField = h("div", { class: "field" }, h("label", { for: kindId }, "Kind of all new layers"), kind);
    this.body = h("tbody", null, [...this.read].reverse().map((one) => this.row(one)));
    this.yes = h("button", { type: "button", class: "main" }, "Take into the record");
    this.yes.addEventListener("click", () => this.send());
    const title = newId("accept");
    this.before = document.activeElement;
    this.dialog = h("dialog", { class: "accept", "aria-labelledby": title, onclose: () => this.closed() },
      h("h2", { id: title, tabindex: -1, autofocus: true }, `Line ${line.number} into the record of sample ${line.sample_number}`),
      h("p", null, layers.length === 0 ? "No layer is in the record of this sample yet." : `${count(layers.length, "layer")} ${layers.length === 1 ? "stands" : "stand"} in the record. What somebody entered stays unless you say that a field is replaced.`,
        line.colour_calibrated ? "" : ` Colours are ${UNCALIBRATED}: they are kept beside the layer as a measurement, and fill no field.`),
      h("div", { class: "scroll", tabindex: 0, role: "group", "aria-label": "What was read, from the surface down" }, h("table", null, h("thead", null, h("tr", null, ["Read", "What becomes of it", "Both values"].map((one) => h("th", { scope: "col" }, one)))), this.body)),
      this.kindField, this.sum, this.problem.place, h("p", { class: "buttons" }, this.yes, h("button", { type: "button", class: "quiet", onclick: () => this.dialog.close() }, "Cancel")));
    this.tell();
  }

  open() {
    document.body.append(this.dialog);
    this.dialog.showModal();
    this.work.visit.signal.addEventListener("abort", () => this.dialog.close());
  }

  closed() {
    this.dialog.remove();
    if (this.before instanceof HTMLElement) this.before.focus();
  }

  /** @param {Record<string, unknown>} attributes @param {(value: string) => void} chosen */
  kindChoice(attributes, chosen) {
    const made = h("select", { ...attributes, onchange: () => chosen(made.value) }, this.kinds.map((one) => h("option", { value: one }, one)));
    made.value = UNKNOWN;
    return made;
  }

  /** @param {string} kind */
  allOfKind(kind) {
    this.choices = this.choices.map((one) => ({ ...one, kind }));
    for (const one of this.body.querySelectorAll("select.kind")) if (one instanceof HTMLSelectElement) one.value = kind;
  }

  /** @param {number} index */
  choice(index) {
    return /** @type {Choice} */ (this.choices.find((one) => one.index === index));
  }

  /** @param {number} index @param {Partial<Choice>} values */
  set(index, values) {
    this.choices = this.choices.map((one) => (one.index === index ? { ...one, ...values } : one));
    this.tell();
  }

  tell() {
    this.kindField.hidden = !this.choices.some((one) => one.deed === "new");
    this.sum.textContent = wrong(this.choices, this.layers) || told(this.choices);
  }

  /** @param {ReadLayer} read */
  row(read) {
    const { index } = read;
    const chosen = this.choice(index);
    const values = h("div", { class: "pairs" });
    const deed = h("select", { "aria-label": `Read layer ${index}: what becomes of it`, onchange: () => {
      this.set(index, { deed: /** @type {Deed} */ (deed.value), fields: [] });
      layer.hidden = !this.named(index);
      kind.hidden = deed.value !== "new";
      this.drawPairs(values, read);
    } }, DEEDS.filter(([name]) => name === "leave" || (name === "new" ? !read.accepted : this.layers.length > 0)).map(([name, text]) => h("option", { value: name }, text)));
    deed.value = chosen.deed;
    const layer = h("select", { "aria-label": `Read layer ${index}: which layer of the record`, hidden: !this.named(index), onchange: () => {
      this.set(index, { layer: layer.value, fields: [] });
      this.drawPairs(values, read);
    } }, h("option", { value: "" }, "which layer …"), [...this.layers].reverse().map((one) => h("option", { value: one.id }, this.nameOf(one))));
    layer.value = chosen.layer;
    const kind = this.kindChoice({ class: "kind", "aria-label": `Read layer ${index}: kind`, hidden: chosen.deed !== "new" }, (value) => this.set(index, { kind: value }));
    this.drawPairs(values, read);
    const paint = h("span", { class: "paint little", "aria-hidden": "true" });
    paint.style.backgroundColor = read.hex ?? "transparent";
    return h("tr", null, h("th", { scope: "row" }, `${index} `, paint, " ", thickTold(read), " ", stateOf(surely(read.confidence)), read.accepted ? h("span", { class: "hint" }, " in the record") : null),
      h("td", null, deed, " ", layer, kind), h("td", null, values));
  }

  /** @param {number} index */
  named(index) {
    const { deed } = this.choice(index);
    return deed === "beside" || deed === "replace";
  }

  /** @param {Row} one */
  nameOf(one) {
    return [`${one["position"]}`, one["kind"], one["colour"], one["munsell"]].filter(Boolean).map(String).join(", ");
  }

  /** @param {HTMLElement} place @param {ReadLayer} read */
  drawPairs(place, read) {
    const { deed, layer: id } = this.choice(read.index);
    const layer = this.layers.find((one) => one.id === id) ?? null;
    if (deed === "leave") return refill(place);
    refill(place, h("div", { class: "pair hint" }, h("span"), h("span"), h("span", null, this.named(read.index) ? "in the record" : ""), h("span", null, "read")), pairs(read, this.named(read.index) ? layer : null).map((one) => {
      const open = deed === "replace" && one.differs && replaces(one.field, this.line.colour_calibrated);
      const tick = open ? h("input", { type: "checkbox", "aria-label": `Replace ${one.label} of layer ${layer?.["position"] ?? ""}: ${one.standing || "blank"} by ${one.read}`, onchange: () => {
        const others = this.choice(read.index).fields.filter((field) => field !== one.field);
        this.set(read.index, { fields: tick && tick.checked ? [...others, one.field] : others });
      } }) : null;
      const calibrated = this.line.colour_calibrated;
      const note = deed === "new" ? leftToPerson(one.field, calibrated) : replaces(one.field, calibrated) ? "" : UNCALIBRATED;
      return h("div", { class: "pair" }, h("span", null, tick), h("span", null, one.label), h("span", { class: one.differs ? null : "same" }, this.named(read.index) ? one.standing || "blank" : ""),
        h("span", { class: one.differs ? null : "same" }, one.read, note && h("span", { class: "hint" }, ` ${note}`)));
    }));
  }

  send() {
    const fault = wrong(this.choices, this.layers);
    if (fault) {
      announce(fault);
      this.problem.show(new Problem(422, "choice", fault));
      return;
    }
    void busy(this.yes, this.problem, async () => {
      const { work, line } = this;
      try {
        await accept(work.code, line.sample, { traverse: line.id, version: line.version, rows: rows(this.choices, this.layers), standing: this.layers.map((one) => one.id) });
      } catch (error) {
        // Where somebody else put layers meanwhile, new ones would come to lie among theirs.
        if (!(error instanceof Problem && error.code === "layers-changed")) throw error;
        this.dialog.close();
        await openAccept(work, line, this.done, error.message);
        return;
      }
      announce(`Taken into the record: ${told(this.choices)}`);
      this.dialog.close();
      this.done();
    });
  }
}
