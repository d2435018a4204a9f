/**
 * What a person does on a picture just now, and who is told. Types only.
 *
 * @typedef {import("../../lib/plane.js").Point} Point
 * @typedef {import("./overlay.js").Shape} Shape
 * @typedef {import("./desk.js").Found} Found
 * @typedef {import("../../model/pictures/looking.js").Mode} Mode
 *
 * @typedef {object} Tool what a person does on the picture just now
 * @property {boolean} cross whether arrow keys move a cross, at which Enter puts a point
 * @property {() => Shape[]} shapes
 * @property {(point: Point) => void} clicked
 * @property {(point: Point, near: number) => boolean} taken whether something there is taken hold of; near is how far beside it counts, in px
 * @property {(point: Point) => void} dragged
 * @property {() => void} dropped
 * @property {(event: KeyboardEvent, cross: Point, unit: number) => boolean} key whether the key was its own; unit is one step, in px
 * @property {boolean} [shared] whether it may be used on the other of two registered pictures as well
 *
 * @typedef {object} Host where pictures are looked at
 * @property {string} code
 * @property {AbortSignal} signal
 * @property {(id: string) => void} chose a person chose another picture
 * @property {() => boolean} [mayChoose] whether the picture shown may be left
 * @property {(found: Found) => void} pointed what lies under the pointer or the cross, on a line
 * @property {(mode: Mode) => void} [looks]
 */

export {};
