/**
 * What a screen is given, and what it gives back. Types only.
 *
 * @typedef {import("../../model/types.js").Person} Person
 *
 * @typedef {object} Visit
 * @property {Record<string, string>} params what the names in the address stand for
 * @property {URLSearchParams} query
 * @property {AbortSignal} signal stops when the person goes elsewhere
 * @property {Person | null} person who is signed in
 * @property {(address: string, how?: { replace?: boolean }) => void} go
 * @property {() => void} reload show this screen anew
 * @property {(unsaved: boolean) => void} unsaved whether something was entered that is not saved yet
 *
 * @typedef {object} Shown
 * @property {string} title what the page is called
 * @property {import("../../model/types.js").Project} [project] the project that it is of
 * @property {string} [here] which part of the project it is, for the menu
 * @property {import("./dom.js").Child[]} body
 *
 * @typedef {(visit: Visit) => Promise<Shown>} Screen
 */

export {};
