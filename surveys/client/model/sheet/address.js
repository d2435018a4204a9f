/** What is shown of a register, as an address says it: so a view can be sent to somebody, kept under a name, and gone back to. */

/** @typedef {import("./arrange.js").Arrangement} Arrangement */

/**
 * @typedef {Arrangement & { hidden: string[] | null, order: string[], frozen: number, view: string }} Look how many of the first columns stay in sight, hidden
 *   ones counted; and the name of the view that was called up, whatever was changed since
 * @typedef {Omit<Look, "view">} Arranged what is kept of a look under a name
 */

/** @returns {Look} */
export function usual() {
  return { search: "", filters: {}, sort: [], groups: [], hidden: null, order: [], frozen: 1, view: "" };
}

/**
 * @param {Look} look
 * @returns {[string, string][]}
 */
export function toQuery(look) {
  /** @type {[string, string][]} */
  const said = [];
  if (look.search) said.push(["search", look.search]);
  for (const [name, filter] of Object.entries(look.filters)) if (filter) said.push([`where.${name}`, filter]);
  if (look.sort.length > 0) said.push(["sort", look.sort.map((one) => (one.down ? `-${one.name}` : one.name)).join(",")]);
  if (look.groups.length > 0) said.push(["group", look.groups.join(",")]);
  if (look.hidden !== null) said.push(["without", look.hidden.join(",")]);
  if (look.order.length > 0) said.push(["columns", look.order.join(",")]);
  if (look.view) said.push(["view", look.view]);
  if (look.frozen !== 1) said.push(["frozen", String(look.frozen)]);
  return said;
}

/**
 * @param {Iterable<[string, string]>} query
 * @param {(name: string) => boolean} isColumn what is no column is passed over: views outlive columns
 * @returns {Look}
 */
export function fromQuery(query, isColumn) {
  const look = usual();
  for (const [name, value] of query) {
    const names = value.split(",").filter((one) => isColumn(one.replace(/^-/, "")));
    if (name === "search") look.search = value;
    else if (name === "sort") look.sort = names.map((one) => ({ name: one.replace(/^-/, ""), down: one.startsWith("-") }));
    else if (name === "group") look.groups = names;
    else if (name === "without") look.hidden = names;
    else if (name === "columns") look.order = names;
    else if (name === "view") look.view = value;
    else if (name === "frozen") look.frozen = count(value);
    else if (name.startsWith("where.") && isColumn(name.slice(6))) look.filters[name.slice(6)] = value;
    // Links from elsewhere name a space simply so.
    else if (name === "space" && isColumn("space_number")) look.filters["space_number"] = `=${value}`;
    else if (name === "space" && isColumn("space")) look.filters["space"] = `=${value}`;
  }
  return look;
}

/** @param {string} text */
function count(text) {
  if (text === "no") return 0;
  return /^\d{1,2}$/.test(text) ? Number(text) : 1;
}

/** What is kept of a look under a name. @param {Look} look @returns {Arranged} */
export function kept({ view: _view, ...look }) {
  return { ...look, filters: Object.fromEntries(Object.entries(look.filters).filter(([, said]) => said)) };
}

/** The look that was kept under a name. @param {string} name @param {Partial<Arranged>} arrangement @param {(name: string) => boolean} isColumn @returns {Look} */
export function called(name, arrangement, isColumn) {
  // What is no column any more is passed over as in an address.
  return fromQuery(toQuery({ ...usual(), ...arrangement, view: name }), isColumn);
}

/** Whether two looks show the same. @param {Look} one @param {Look} other */
export function alike(one, other) {
  return JSON.stringify(toQuery({ ...one, view: "" })) === JSON.stringify(toQuery({ ...other, view: "" }));
}

/**
 * Views as they were once kept in the browser.
 * @param {string | null} text
 * @returns {[name: string, query: string][]}
 */
export function formerly(text) {
  try {
    const found = JSON.parse(text ?? "{}");
    if (typeof found !== "object" || found === null || Array.isArray(found)) return [];
    return Object.entries(found).filter((one) => typeof one[1] === "string");
  } catch {
    return [];
  }
}
