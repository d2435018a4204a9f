/** Elements of the grid. Text is set as text. */

/**
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {string} [className]
 * @param {string} [text]
 * @param {Record<string, string>} [attributes]
 * @returns {HTMLElementTagNameMap[T]}
 */
export function make(tag, className = "", text = "", attributes = {}) {
  const made = document.createElement(tag);
  if (className) made.className = className;
  if (text) made.textContent = text;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

let last = 0;

/** @param {string} stem */
export function freshId(stem) {
  last += 1;
  return `${stem}-g${last}`;
}
