/** Which columns are shown, in which order, and which of them stay in sight. */

/** @typedef {import("./address.js").Look} Look */
/** @typedef {import("./columns.js").Column} Column */

/** All columns in the order that was chosen, hidden ones in their places; others after them as they come. @param {Look} look @param {Iterable<Column>} columns @returns {Column[]} */
export function ordered(look, columns) {
  const rank = new Map(look.order.map((name, place) => [name, place]));
  return [...columns].sort((one, other) => (rank.get(one.name) ?? rank.size) - (rank.get(other.name) ?? rank.size));
}

/** Those that are not hidden. @param {Look} look @param {Iterable<Column>} columns */
export function shown(look, columns) {
  const hidden = new Set(look.hidden ?? []);
  return ordered(look, columns).filter((one) => !hidden.has(one.name));
}

/** How many of those shown stay in sight. A hidden one keeps its place among them, so that showing it again changes nothing else. @param {Look} look @param {Iterable<Column>} columns */
export function frozen(look, columns) {
  const hidden = new Set(look.hidden ?? []);
  return ordered(look, columns).slice(0, look.frozen).filter((one) => !hidden.has(one.name)).length;
}

/** The look in which all up to a column stay in sight. @param {Look} look @param {Iterable<Column>} columns @param {string} name @returns {Partial<Look>} */
export function frozenUpTo(look, columns, name) {
  return { frozen: ordered(look, columns).findIndex((one) => one.name === name) + 1 };
}

/** The look with the shown columns in another order; hidden ones keep their places. @param {Look} look @param {Iterable<Column>} columns @param {readonly string[]} names @returns {Partial<Look>} */
export function reordered(look, columns, names) {
  const hidden = new Set(look.hidden ?? []);
  const left = [...names];
  return { order: ordered(look, columns).map((one) => (hidden.has(one.name) ? one.name : (left.shift() ?? one.name))) };
}
