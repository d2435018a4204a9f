/** Addresses as patterns: '/projects/:code/spaces/:number' and back. */

/**
 * What a pattern's names stand for in a path; null where it does not fit.
 * @param {string} pattern
 * @param {string} path
 * @returns {Record<string, string> | null}
 */
export function match(pattern, path) {
  const wanted = parts(pattern);
  const given = parts(path);
  if (wanted.length !== given.length) return null;
  /** @type {Record<string, string>} */
  const found = {};
  for (const [index, part] of wanted.entries()) {
    const value = decoded(given[index] ?? "");
    if (value === null) return null;
    if (part.startsWith(":")) found[part.slice(1)] = value;
    else if (part !== value) return null;
  }
  return found;
}

/**
 * A path from its steps, each made fit to stand in an address.
 * @param {...(string | number)} steps
 */
export function path(...steps) {
  return `/${steps.map((step) => encodeURIComponent(step)).join("/")}`;
}

/**
 * A path with a query; what is empty is left out.
 * @param {string} base
 * @param {Record<string, string | number | null | undefined>} query
 */
export function withQuery(base, query) {
  const told = Object.entries(query).filter(([, value]) => value !== null && value !== undefined && value !== "");
  const text = told.map(([name, value]) => `${encodeURIComponent(name)}=${encodeURIComponent(String(value))}`).join("&");
  return text ? `${base}?${text}` : base;
}

/**
 * A place within this program, from an address that anybody may have made up; '/' if it would lead elsewhere.
 * @param {string | null} wanted
 */
export function within(wanted) {
  if (!wanted || !/^\/(?![/\\])/.test(wanted) || /[\u0000-\u001f\\]/.test(wanted)) return "/";
  return wanted.startsWith("/sign-in") ? "/" : wanted;
}

/** @param {string} text */
function parts(text) {
  return text.split("/").filter((part) => part !== "");
}

/** @param {string} part */
function decoded(part) {
  try {
    return decodeURIComponent(part);
  } catch {
    return null;
  }
}
