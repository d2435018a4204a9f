/** What is said of a picture, its file as it came, and its removal. */

import { changeAttachment, originalAddress, removeAttachment } from "../../api/pictures.js";
import { path } from "../../lib/paths.js";
import { label, shown } from "../../model/fields.js";
import { plateOf } from "../../model/pictures/looking.js";
import { called, coloursTold, isMicrograph, isShown, scaleTold } from "../../model/pictures/pictures.js";
import { h, refill } from "../parts/dom.js";
import { recordForm } from "../parts/form.js";
import { historyFold } from "../parts/history.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { plateButton } from "./plate.js";

/** @typedef {import("./work.js").PictureWork} PictureWork */

/** @type {readonly import("../../model/fields.js").Field[]} */
const FIELDS = [
  { name: "kind", label: "Kind", type: "word", words: "picture_kinds", required: true }, { name: "caption", label: "Caption", type: "long" },
  { name: "taken_on", label: "Taken on", type: "date" }, { name: "taken_by", label: "Taken by" }, { name: "magnification", label: "Magnification" },
];
const WORDS = { picture_kinds: ["visible micrograph", "UV micrograph", "photograph"] };

/** @param {PictureWork} work @returns {import("./work.js").Panel} */
export function aboutPanel(work) {
  const element = h("div");
  // It stays while the rest is shown anew: a plate may be on its way.
  const plate = work.sample && plateButton(work.visit, work.code, work.sample.id, () => plateOf(work.desk.picture, work.desk.other, work.registrations));
  let of = "";
  const draw = () => {
    const { picture, code } = work;
    // What is being typed stays; the form tells a clash itself when it is saved.
    if (of === picture.id && element.querySelector("form.record") && element.contains(document.activeElement)) return;
    of = picture.id;
    const row = /** @type {Record<string, unknown>} */ (/** @type {unknown} */ (picture));
    refill(element, h("h2", null, called(picture)),
      isMicrograph(picture) && isShown(picture) && h("p", null, `${scaleTold(picture)} ${coloursTold(picture)}`),
      work.writes ? recordForm({
        fields: FIELDS, row, words: WORDS, resolve: async () => null, unsaved: work.visit.unsaved,
        save: (values, current) => /** @type {Promise<any>} */ (changeAttachment(code, { id: picture.id, version: Number(current?.["version"] ?? picture.version) }, values)),
        saved: () => {
          of = "";
          void work.changed();
        },
      }) : h("dl", { class: "told" }, FIELDS.filter((one) => shown(one, row) !== "").flatMap((one) => [h("dt", null, label(one)), h("dd", null, shown(one, row))])),
      file(work), h("div", { class: "buttons" }, plate, removal(work)),
      historyFold({ code, signal: work.visit.signal, id: picture.id, changed: work.visit.reload }, "History of this picture"));
  };
  draw();
  return { element, begin: () => work.desk.take(null), end: () => {}, refresh: draw };
}

/** @param {PictureWork} work */
function file({ picture, code }) {
  return h("dl", { class: "told close" },
    h("dt", null, "File"), h("dd", null, h("a", { href: originalAddress(code, picture.id), download: picture.name }, `Download ${picture.name}`), " as it came, unaltered"),
    h("dt", null, "SHA-256"), h("dd", { class: "code digest" }, picture.sha256),
    h("dt", null, "Brought by"), h("dd", null, picture.created_by));
}

/** @param {PictureWork} work */
function removal(work) {
  if (!work.writes) return null;
  const problem = refusals();
  const { picture, code, sample } = work;
  return h("span", null, askedButton("Remove this picture", "Remove it, with its lines? A coordinator can bring it back.", "Remove", (pressed) => busy(pressed, problem, async () => {
    await removeAttachment(code, picture);
    announce("Removed.");
    work.visit.go(sample ? path("projects", code, "bench", String(sample["number"])) : path("projects", code), { replace: true });
  })), problem.place);
}
