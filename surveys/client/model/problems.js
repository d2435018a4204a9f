/** Refusals (RFC 9457) as the client reads them. */

/** @typedef {import("./types.js").Place} Place */

/**
 * A refusal by the service: its sentence, and what is wrong with which field.
 */
export class Problem extends Error {
  /**
   * @param {number} status
   * @param {string} code
   * @param {string} detail
   * @param {Place[]} places
   * @param {any} current the record as it now stands, where somebody changed it meanwhile
   * @param {number} seconds how long to wait before one tries again; 0 where nothing is said
   */
  constructor(status, code, detail, places = [], current = null, seconds = 0) {
    super(detail);
    this.name = "Problem";
    this.status = status;
    this.code = code;
    this.places = places;
    this.current = current;
    this.seconds = seconds;
  }
}

/** The service could not be reached. */
export class Lost extends Error {
  constructor() {
    super("The connection is lost. Nothing that you entered here is gone; try again when it is back.");
    this.name = "Lost";
  }
}

/**
 * A problem from an answer's body, whatever that is.
 * @param {number} status
 * @param {any} body
 * @param {string | null} [retryAfter] the header of that name, in seconds
 */
export function problemFrom(status, body, retryAfter = null) {
  const whole = body !== null && typeof body === "object";
  const detail = whole && typeof body.detail === "string" && body.detail ? body.detail : fallback(status);
  const places = whole && Array.isArray(body.errors) ? body.errors : [];
  return new Problem(status, whole && typeof body.code === "string" ? body.code : "", detail, places, whole ? (body.current ?? null) : null,
    /^\d{1,6}$/.test(retryAfter ?? "") ? Number(retryAfter) : 0);
}

/** @param {number} status */
function fallback(status) {
  if (status === 413) return "This file is larger than is taken here.";
  if (status >= 500) return "Something went wrong in the program. Try again; if it stays so, tell whoever runs it.";
  return `The program refused this, and did not say why (${status}).`;
}

/**
 * Which faults stand beside which field, and which are of the whole.
 * @param {Place[]} places
 * @param {readonly string[]} fields
 * @returns {{ beside: Record<string, string>, whole: string[] }}
 */
export function sorted(places, fields) {
  /** @type {Record<string, string>} */
  const beside = {};
  /** @type {string[]} */
  const whole = [];
  for (const place of places) {
    const field = place.pointer.split("/").pop() ?? "";
    if (!fields.includes(field)) whole.push(place.detail);
    else beside[field] = beside[field] ? `${beside[field]} ${place.detail}` : place.detail;
  }
  return { beside, whole };
}

/**
 * What to say of anything that was thrown.
 * @param {unknown} error
 */
export function sentence(error) {
  if (error instanceof Problem || error instanceof Lost) return error.message;
  return "Something went wrong in this page. Reload it; what was saved is safe.";
}
