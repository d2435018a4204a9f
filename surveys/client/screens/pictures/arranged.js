/** Putting elements into a place without taking the focus from the one that has it. */

/** Those that stay are not moved: what is taken out and put in again loses the focus. @param {HTMLElement} place @param {readonly HTMLElement[]} wanted the first takes the focus of what goes */
export function arrange(place, wanted) {
  const within = place.contains(document.activeElement);
  for (const one of [...place.children]) if (!wanted.some((each) => each === one)) one.remove();
  for (const [at, one] of wanted.entries()) if (place.children[at] !== one) place.insertBefore(one, place.children[at] ?? null);
  if (within && !place.contains(document.activeElement)) wanted[0]?.focus();
}
