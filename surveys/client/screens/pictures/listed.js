/** Pictures and documents as a list: a small picture, what it is, how far it is, the file as it came, and its removal. */

import { originalAddress, removeAttachment } from "../../api/pictures.js";
import { path } from "../../lib/paths.js";
import { called, coloursTold, inOrder, isMicrograph, measuresTold, scaleTold, stateMark } from "../../model/pictures/pictures.js";
import { h, link, stateOf } from "../parts/dom.js";
import { announce, askedButton, busy, refusals } from "../parts/say.js";
import { unmeasured, unready } from "./unready.js";

/** @typedef {import("../../model/pictures/types.js").Attachment} Attachment */

/** @typedef {import("./unready.js").Told} Told */

/** @param {Told} told @param {readonly Attachment[]} all */
export function listed(told, all) {
  return h("ul", { class: "attachments" }, inOrder(all).map((one) => item(told, one)));
}

/** @param {Told} told @param {Attachment} one */
function item(told, one) {
  const { code, writes, changed } = told;
  const problem = refusals();
  const small = one.pictures?.thumbnail;
  const page = path("projects", code, "pictures", one.id);
  const name = called(one);
  return h("li", null,
    h("div", { class: "small" }, small ? link(page, h("img", { src: small, alt: one.caption || name, loading: "lazy" })) : h("span", { class: "nothumb", "aria-hidden": "true" }, one.kind === "document" ? "▤" : "▢")),
    h("div", null,
      h("p", null, one.kind === "document" ? h("strong", null, name) : link(page, name), one.caption && `: ${one.caption}`, " ", one.prepared !== "ready" && stateOf(stateMark(one))),
      one.kind !== "document" && unready(told, one), unmeasured(told, one),
      h("p", { class: "hint" }, [one.taken_on && `taken on ${one.taken_on}`, one.taken_by && `by ${one.taken_by}`, one.magnification, measuresTold(one)].filter(Boolean).join(", ")),
      isMicrograph(one) && one.prepared === "ready" && h("p", { class: "hint" }, `${scaleTold(one)} ${coloursTold(one)}`),
      h("p", { class: "buttons" }, h("a", { href: originalAddress(code, one.id), download: one.name }, `Download ${one.name}`, h("span", { class: "hidden" }, " as it came")),
        writes && askedButton("Remove", `Remove ${name.toLowerCase()}, with its lines? A coordinator can bring it back.`, "Remove", (pressed) => busy(pressed, problem, async () => {
          await removeAttachment(code, one);
          announce("Removed.");
          changed();
        }))), problem.place));
}
