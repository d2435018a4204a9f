/** Bringing pictures and documents: dropped or chosen, sent part by part, paused and gone on with, described while they are on their way. */

import { attach, changeAttachment } from "../../api/pictures.js";
import { waysOf } from "../../api/sending.js";
import { size } from "../../lib/words.js";
import { kindOf } from "../../model/pictures/pictures.js";
import { Sending } from "../../model/pictures/sending.js";
import { Problem } from "../../model/problems.js";
import { button, h, newId } from "../parts/dom.js";
import { announce, busy, refusals } from "../parts/say.js";
import { sendingBar } from "../parts/sending.js";

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
    if (about.signal.aborted) return;
    items = items.filter((one) => one.sending.state !== "given up");
    about.busy?.(items.some((one) => one.underWay));
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
    /** @type {Promise<void>} */
    this.describing = Promise.resolve();
    this.again = button("Try again", () => void busy(this.again, this.problem, () => this.whole()), { class: "quiet", hidden: true });
    const guessed = kindOf(file.name);
    const kinds = about.kinds;
    this.kind = choice("Kind", kinds.map((one) => [one, one]), kinds.includes(guessed) ? guessed : (kinds[0] ?? ""), () => this.described());
    this.microscope = choice("Microscope", [["", "none"], ...about.microscopes.map((one) => /** @type {[string, string]} */ ([one.id, `${one.name}, ${one.magnification}`]))], "", () => this.described());
    const id = newId("caption");
    this.caption = h("input", { id, maxlength: 400, autocomplete: "off", onchange: () => this.described() });
    this.bar = sendingBar(this.sending, { goOn: () => this.begin(), gaveUp: () => {
      this.element.remove();
      this.settled();
    }, done: () => (this.made ? "Sent whole and unaltered. What is written here of it is kept." : "") });
    this.microscope.element.hidden = about.microscopes.length === 0;
    this.element = h("li", null, h("p", null, h("strong", null, file.name), ` (${size(file.size)})`),
      h("div", { class: "fields" }, this.kind.element, this.microscope.element, h("div", { class: "field" }, h("label", { for: id }, "Caption"), this.caption)),
      this.bar.element, this.problem.place, h("p", { class: "buttons" }, this.again));
    this.show();
  }

  /** Whether something would be lost by going elsewhere. */
  get underWay() {
    return this.sending.isUnderWay || (this.sending.state === "done" && !this.made && !this.again.hidden);
  }

  begin() {
    void this.sending.run().then(() => this.whole()).catch((error) => this.problem.show(error)).finally(this.settled);
  }

  /** All of it is there: it is put on the record. */
  async whole() {
    const { about, sending: { upload } } = this;
    if (!upload || this.made) return;
    this.again.hidden = true;
    try {
      this.made = await attach(about.code, { about_type: about.type, about_id: about.id, upload: upload.id, ...this.values() });
    } catch (error) {
      // What was refused stays refused; what got lost on its way does not.
      this.again.hidden = error instanceof Problem && error.status < 500;
      throw error;
    }
    announce(`${this.sending.file.name} is here.`);
    this.show();
    if (!about.signal.aborted) about.attached(this.made);
  }

  values() {
    const microscope = this.microscope.input.value;
    return { kind: this.kind.input.value, caption: this.caption.value.trim(), ...(microscope ? { microscope } : {}) };
  }

  /** What is said of it after it was attached is changed there, one thing after the other. */
  described() {
    this.describing = this.describing.then(async () => {
      if (!this.made) return;
      this.problem.clear();
      this.made = await changeAttachment(this.about.code, this.made, this.values());
      this.about.attached(this.made);
    }).catch((error) => this.problem.show(error));
  }

  show() {
    this.bar.show();
  }
}

/** @param {string} text @param {readonly (readonly [value: string, text: string])[]} offers @param {string} value @param {() => void} changed */
function choice(text, offers, value, changed) {
  const id = newId("choice");
  const input = h("select", { id, onchange: changed }, offers.map(([one, label]) => h("option", { value: one }, label)));
  input.value = value;
  return { input, element: h("div", { class: "field" }, h("label", { for: id }, text), input) };
}
