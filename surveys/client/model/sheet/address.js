/** What is shown of a register, as an address says it: so a view can be sent to somebody, kept under a name, and gone back to. */

/** @typedef {import("./arrange.js").Arrangement} Arrangement */

/**
 * @typedef {Arrangement & { hidden: string[] | null, order: string[], frozen: boolean }} Look
 */

/** @returns {Look} */
export function usual() {
  return { search: "", filters: {}, sort: [], groups: [], hidden: null, order: [], frozen: true };
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
  if (!look.frozen) said.push(["frozen", "no"]);
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
    else if (name === "frozen") look.frozen = value !== "no";
    else if (name.startsWith("where.") && isColumn(name.slice(6))) look.filters[name.slice(6)] = value;
    // Links from elsewhere name a space simply so.
    else if (name === "space" && isColumn("space_number")) look.filters["space_number"] = `=${value}`;
    else if (name === "space" && isColumn("space")) look.filters["space"] = `=${value}`;
  }
  return look;
}

/**
 * A person's named views, as they are kept.
 * @param {unknown} kept
 * @returns {Record<string, string>} queries by name
 */
export function views(kept) {
  if (typeof kept !== "object" || kept === null || Array.isArray(kept)) return {};
  return Object.fromEntries(Object.entries(kept).filter((one) => typeof one[1] === "string"));
}
