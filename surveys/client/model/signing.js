/** Checks of the sign-in form before anything is sent. */

/**
 * What is missing, as a sentence; '' if nothing is.
 * @param {string} name
 * @param {string} password
 */
export function missing(name, password) {
  if (!name.trim()) return "Write the name that you sign in with.";
  return password ? "" : "Write your password.";
}
