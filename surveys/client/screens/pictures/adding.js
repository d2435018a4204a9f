/** Bringing pictures and documents: dropped or chosen, sent part by part, paused and gone on with, described while they are on their way. */

import { attach, changeAttachment } from "../../api/pictures.js";
import { waysOf } from "../../api/sending.js";
import { size } from "../../lib/words.js";
import { kindOf } from "../../model/pictures/pictures.js";
import { Sending, told } from "../../model/pictures/sending.js";
import { button, h, newId, refill } from "../parts/dom.js";
import { announce, refusals } from "../parts/say.js";

/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */
/** @typedef {import("../../model/pictures/types.js").Microscope} Microscope */

const TYPES = ".tif,.tiff,.png,.jpg,.jpeg";
const DOCUMENTS = `${TYPES},.pdf,.txt,.csv,.docx,.xlsx,.odt,.ods`;

/**
 * @typedef {object} About
 * @property {string} code
 * @property {string} username
 * @property {AbortSignal} signal
 * @property {string} type the record's type
 * @property {string} id
 * @property {readonly string[]} kinds which kinds are offered, the likeliest first
 * @property {readonly Microscope[]} microscopes
 * @property {(one: Attachment) => void} attached
 * @property {(open: boolean) => void} [busy] told whether something is on its way
 */

/** @param {About} about */
export function adding(about) {
  const pictures = about.kinds.includes("visible micrograph");
  const list = h("ul", { class: "sendings", "aria-label": "Files on their way" });
  const problem = refusals();
  const id = newId("files");
  const input = h("input", { type: "file", id, multiple: true, accept: about.kinds.includes("document") ? DOCUMENTS : TYPES, onchange: () => {
    bring([...(input.files ?? [])]);
    input.value = "";
  } });
  const zone = h("div", { class: "drop pictures", ondragover: over, ondragleave: () => zone.classList.remove("over"), ondrop: dropped },
    h("div", { class: "field" }, h("label", { for: id }, pictures ? "Choose pictures, or drop them here" : "Choose files, or drop them here"), input,
      h("span", { class: "hint" }, `${about.kinds.includes("document") ? "TIFF, PNG, JPEG, PDF and plain documents" : "TIFF (16-bit too), PNG or JPEG"}. Kept unaltered. A file that was not sent whole goes on where it was left when it is chosen again.`)));
  /** @type {Item[]} */
  let items = [];

  /** @param {DragEvent} event */
  function over(event) {
    event.preventDefault();
    zone.classList.add("over");
  }

  /** @param {DragEvent} event */
  function dropped(event) {
    event.preventDefault();
    zone.classList.remove("over");
    bring([...(event.dataTransfer?.files ?? [])]);
  }

  /** @param {File[]} files */
  function bring(files) {
    problem.clear();
    for (const file of files) {
      const made = new Item(about, file, () => settled());
      items.push(made);
      list.append(made.element);
    }
    settled();
  }

  /** One file after the other: on a slow line the first is whole sooner. */
  function settled() {
    items = items.filter((one) => one.sending.state !== "given up");
    about.busy?.(items.some((one) => one.sending.isOpen));
    if (!items.some((one) => one.sending.running)) items.find((one) => one.sending.state === "waits")?.begin();
  }

  return { element: h("div", { class: "adding" }, zone, list, problem.place) };
}

class Item {
  /** @param {About} about @param {File} file @param {() => void} settled */
  constructor(about, file, settled) {
    this.about = about;
    this.settled = settled;
    this.sending = new Sending(file, waysOf(about.code, about.username, file, about.signal), () => this.show());
    /** @type {Attachment | null} */
    this.made = null;
    this.problem = refusals();
    const guessed = kindOf(file.name);
    const kinds = about.kinds;
    this.kind = choice("Kind", kinds.map((one) => [one, one]), kinds.includes(guessed) ? guessed : (kinds[0] ?? ""), () => void this.described());
    this.microscope = choice("Microscope", [["", "none"], ...about.microscopes.map((one) => /** @type {[string, string]} */ ([one.id, `${one.name}, ${one.magnification}`]))], "", () => void this.described());
    const id = newId("caption");
    this.caption = h("input", { id, maxlength: 400, autocomplete: "off", onchange: () => void this.described() });
    this.bar = h("progress", { max: 100, "aria-label": `Sending ${file.name}` });
    this.said = h("p", { class: "now" });
    this.pause = button("Pause", () => this.paused(), { class: "quiet" });
    this.end = button("Give up", () => void this.gaveUp(), { class: "quiet" });
    this.microscope.element.hidden = about.microscopes.length === 0;
    this.element = h("li", null, h("p", null, h("strong", null, file.name), ` (${size(file.size)})`),
      h("div", { class: "fields" }, this.kind.element, this.microscope.element, h("div", { class: "field" }, h("label", { for: id }, "Caption"), this.caption)),
      this.bar, this.said, h("p", { class: "buttons" }, this.pause, this.end), this.problem.place);
    this.state = "";
    this.show();
  }

  begin() {
    void this.sending.run().then(() => this.whole()).catch((error) => this.problem.show(error)).finally(this.settled);
  }

  async whole() {
    const { upload } = this.sending;
    if (!upload || this.made) return;
    try {
      const { about } = this;
      this.made = await attach(about.code, { about_type: about.type, about_id: about.id, upload: upload.id, ...this.values() });
      announce(`${this.sending.file.name} is here.`);
      about.attached(this.made);
      this.show();
    } catch (error) {
      this.problem.show(error);
    }
  }

  values() {
    const microscope = this.microscope.input.value;
    return { kind: this.kind.input.value, caption: this.caption.value.trim(), ...(microscope ? { microscope } : {}) };
  }

  /** What is said of it after it was attached is changed there. */
  async described() {
    if (!this.made) return;
    try {
      this.problem.clear();
      this.made = await changeAttachment(this.about.code, this.made, this.values());
      this.about.attached(this.made);
    } catch (error) {
      this.problem.show(error);
    }
  }

  paused() {
    const { sending } = this;
    if (sending.state === "paused" || sending.state === "refused") this.begin();
    else sending.pause();
  }

  async gaveUp() {
    await this.sending.giveUp();
    this.element.remove();
    this.settled();
  }

  show() {
    const { sending } = this;
    this.bar.value = Math.round(100 * sending.share);
    this.bar.hidden = sending.state === "done";
    this.said.textContent = this.made ? "Sent whole and unaltered. What is written here of it is kept." : told(sending);
    const stopped = sending.state === "paused" || sending.state === "refused";
    refill(this.pause, stopped ? "Go on" : "Pause");
    this.pause.hidden = !["reads", "sends", "lost", "paused", "refused"].includes(sending.state);
    this.end.hidden = !sending.isOpen;
    if (this.state === sending.state) return;
    this.state = sending.state;
    if (stopped || sending.state === "lost") announce(`${sending.file.name}: ${told(sending)}`);
  }
}

/** @param {string} text @param {readonly (readonly [value: string, text: string])[]} offers @param {string} value @param {() => void} changed */
function choice(text, offers, value, changed) {
  const id = newId("choice");
  const input = h("select", { id, onchange: changed }, offers.map(([one, label]) => h("option", { value: one }, label)));
  input.value = value;
  return { input, element: h("div", { class: "field" }, h("label", { for: id }, text), input) };
}
