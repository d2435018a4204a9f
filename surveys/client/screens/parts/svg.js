/** Making drawings: shapes, lines and text, through the same door as elements. */

import { fill } from "./dom.js";

const SVG = "http://www.w3.org/2000/svg";

/**
 * An element of a drawing.
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, string | number | boolean | null | undefined> | null} [attributes]
 * @param {...(import("./dom.js").Child | import("./dom.js").Child[])} children
 * @returns {SVGElementTagNameMap[T]}
 */
export function s(tag, attributes = null, ...children) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value !== null && value !== undefined && value !== false) made.setAttribute(name, value === true ? "" : String(value));
  }
  fill(made, ...children);
  return made;
}
