/** Pictures and documents as a list: a small picture, what it is, how far it is, the file as it came, and its removal. */

import { originalAddress, removeAttachment } from "../../api/pictures.js";
import { path } from "../../lib/paths.js";
import { called, coloursTold, inOrder, isMicrograph, measuresTold, scaleTold, stateMark } from "../../model/pictures/pictures.js";
import { h, link, stateOf } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";

/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */

/** @param {string} code @param {readonly Attachment[]} all @param {boolean} writes @param {() => void} changed */
export function listed(code, all, writes, changed) {
  return h("ul", { class: "attachments" }, inOrder(all).map((one) => item(code, one, writes, changed)));
}

/** @param {string} code @param {Attachment} one @param {boolean} writes @param {() => void} changed */
function item(code, one, writes, changed) {
  const problem = refusals();
  const small = one.pictures?.thumbnail;
  const page = path("projects", code, "pictures", one.id);
  const name = called(one);
  return h("li", null,
    h("div", { class: "small" }, small ? link(page, h("img", { src: small, alt: one.caption || name, loading: "lazy" })) : h("span", { class: "nothumb", "aria-hidden": "true" }, one.kind === "document" ? "▤" : "▢")),
    h("div", null,
      h("p", null, one.kind === "document" ? h("strong", null, name) : link(page, name), one.caption && `: ${one.caption}`, " ", one.prepared !== "ready" && stateOf(stateMark(one))),
      one.prepared === "refused" && h("p", { class: "reason" }, one.refusal),
      h("p", { class: "hint" }, [one.taken_on && `taken on ${one.taken_on}`, one.taken_by && `by ${one.taken_by}`, one.magnification, measuresTold(one)].filter(Boolean).join(", ")),
      isMicrograph(one) && one.prepared === "ready" && h("p", { class: "hint" }, `${scaleTold(one)} ${coloursTold(one)}`),
      h("p", { class: "buttons" }, h("a", { href: originalAddress(code, one.id), download: one.name }, `Download ${one.name}`, h("span", { class: "hidden" }, " as it came")),
        writes && askedButton("Remove", `Remove ${name.toLowerCase()}, with its lines? A coordinator can bring it back.`, "Remove", (pressed) => busy(pressed, problem, async () => {
          await removeAttachment(code, one);
          announce("Removed.");
          changed();
        }))), problem.place));
}
