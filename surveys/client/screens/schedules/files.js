/** Files that went out, as links. */

import { size } from "../../lib/words.js";
import { h } from "../parts/dom.js";

/** @param {readonly import("../../model/types.js").OutputFile[]} files */
export function fileLinks(files) {
  return h("ul", { class: "cells" }, files.map((file) => h("li", null,
    h("a", { href: file.url, download: file.name, title: file.name }, file.name.slice(file.name.lastIndexOf(".") + 1).toUpperCase()), ` (${size(file.size)})`)));
}
