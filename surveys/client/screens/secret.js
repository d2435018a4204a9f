/**
 * The secret of a link. It stands behind '#', which no browser sends, so that no log keeps it; it is taken out of the address at once and lies
 * in this window until it is used, so that one may sign in meanwhile.
 */

/** @param {string} what the name under which it lies */
export function takeSecret(what) {
  const key = `undercoat ${what}`;
  const given = location.hash.slice(1);
  if (given) {
    sessionStorage.setItem(key, given);
    history.replaceState(null, "", location.pathname + location.search);
  }
  return given || (sessionStorage.getItem(key) ?? "");
}

/** @param {string} what */
export function dropSecret(what) {
  sessionStorage.removeItem(`undercoat ${what}`);
}
