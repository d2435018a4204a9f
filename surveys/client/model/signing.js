/** Signing in: what is missing in the form before anything is sent, and keys as they are typed. */

/**
 * What is missing, as a sentence; '' if nothing is.
 * @param {string} name
 * @param {string} password
 */
export function missing(name, password) {
  if (!name.trim()) return "Write the name that you sign in with.";
  return password ? "" : "Write your password.";
}

/** A key in groups of four, so that one does not lose one's place. @param {string} key */
export function grouped(key) {
  return key.match(/.{1,4}/g)?.join(" ") ?? "";
}
