/** Making elements. Text is always set as text: nothing that a record holds is ever read as markup. */

/** @typedef {Node | string | number | null | undefined | false} Child */
/** @typedef {Record<string, string | number | boolean | null | undefined | ((event: any) => void)>} Attributes */

/**
 * An element with attributes, listeners (`onclick` …) and children.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Attributes | null} [attributes]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function h(tag, attributes = null, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (typeof value === "function") made.addEventListener(name.slice(2), value);
    else if (value !== null && value !== undefined && value !== false) made.setAttribute(name, value === true ? "" : String(value));
  }
  fill(made, ...children);
  return made;
}

/**
 * Append children; what is missing is left out.
 * @param {Element} parent
 * @param {...(Child | Child[])} children
 */
export function fill(parent, ...children) {
  for (const child of children.flat()) {
    if (child === null || child === undefined || child === false) continue;
    parent.append(child instanceof Node ? child : document.createTextNode(String(child)));
  }
}

/**
 * Put other children in place of what an element has.
 * @param {Element} parent
 * @param {...(Child | Child[])} children
 */
export function refill(parent, ...children) {
  parent.replaceChildren();
  fill(parent, ...children);
}

let last = 0;

/** An id that no other element has. @param {string} stem */
export function newId(stem) {
  last += 1;
  return `${stem}-${last}`;
}

/**
 * A button.
 * @param {string} text
 * @param {(event: MouseEvent) => void} act
 * @param {Attributes} [attributes]
 */
export function button(text, act, attributes = {}) {
  return h("button", { type: "button", onclick: act, ...attributes }, text);
}

/** @param {string} href @param {...Child} children */
export function link(href, ...children) {
  return h("a", { href }, ...children);
}

/** A state by shape and word. @param {{ mark: string, word: string }} state */
export function stateOf(state) {
  return h("span", { class: "state" }, h("span", { class: "mark", "aria-hidden": "true" }, state.mark), " ", state.word);
}

/** A moment, told from now, with the whole of it at hand. @param {string} iso @param {string} told @param {string} full */
export function time(iso, told, full) {
  return h("time", { datetime: iso, title: full }, told);
}
