/** The grid library, loaded when a register is first opened. Where it lies stands in the page, for a server gives files names of their own. */

/** @typedef {typeof import("slickgrid")} Engine */
/** @typedef {import("slickgrid").SlickGrid} SlickGrid */

/** @type {Promise<Engine> | null} */
let loading = null;

/** @returns {Promise<Engine>} */
export function engine() {
  loading ??= load().catch((error) => {
    loading = null;
    throw error;
  });
  return loading;
}

/** @returns {Promise<Engine>} */
async function load() {
  const told = document.documentElement.dataset;
  const [grid, sortable] = await Promise.all([import(told["grid"] ?? ""), import(told["sortable"] ?? "")]);
  // The library looks for what drags its columns among the page's own names.
  Object.assign(window, { Sortable: sortable.default });
  return grid;
}

/** What lets the library make its one style sheet. */
export function styleNonce() {
  return document.documentElement.dataset["styleNonce"] ?? "";
}
