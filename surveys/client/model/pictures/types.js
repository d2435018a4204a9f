/**
 * The shapes of what the interface answers about pictures, as far as the client reads them. Types only.
 *
 * @typedef {import("../../lib/plane.js").Point} Point
 * @typedef {import("../../lib/plane.js").Matrix} Matrix
 *
 * @typedef {"waiting" | "ready" | "refused"} Prepared
 *
 * @typedef {{ points: [Point, Point], length_um: number }} ScaleLine
 *
 * @typedef {{ box: [number, number, number, number], lab?: number[] }} Patch
 *
 * @typedef {{
 *   id: string, version: number, created_at: string, created_by: string, number: number, about_type: string, about_id: string, about_name: string,
 *   upload: string, name: string, size: number, sha256: string, content_type: string, kind: string, caption: string, taken_on: string | null,
 *   taken_by: string, magnification: string, um_per_pixel: number | null, scale_by: string, scale_line: ScaleLine | null,
 *   microscope: string | null, microscope_name: string | null, colour_target: { target: string, patches: Patch[] } | null,
 *   colour_from: string | null, colour_state: "" | "calibrated" | "white-balanced" | "uncalibrated", colour_residual: Record<string, number | null> | null,
 *   width: number | null, height: number | null, bits: number | null, prepared: Prepared, refusal: string, remarks?: string[],
 *   pictures: { thumbnail: string | null, tiles: string | null } | null, troubles: { kind: "picture" | "picture-colour", sentence: string }[]
 * }} Attachment
 *
 * @typedef {{ width: number, height: number, tile_size: number, overlap: number, version: string, tile: string, levels: { level: number, width: number, height: number, columns: number, rows: number }[], format: string }} Tiles
 *
 * @typedef {{ id: string, version: number, name: string, magnification: string, um_per_pixel: number, picture_width: number | null, measured_on: string | null, measured_by: string, notes: string }} Microscope
 *
 * @typedef {{ id: string, version: number, fixed: string, moving: string, method: string, matrix: number[][], points: [Point, Point][], residual_px: number, inliers: number | null, reliable: boolean, caution: string }} Registration
 *
 * @typedef {{ name: string, title: string, patches: { name: string, lab: number[] }[], source: string }} Target
 *
 * @typedef {{
 *   index: number, from_px: number, to_px: number, thickness_um: number | null, thickness_error_um: number | null, lab: number[] | null, lab_spread: number | null,
 *   hex: string | null, munsell: string, munsell_difference: number | null, uv_colour: string, uv_strength: string, boundary_um: number | null, boundary: string,
 *   confidence: number | null, end: "" | "substrate" | "resin", accepted: string | null, accepted_differs?: boolean
 * }} ReadLayer
 *
 * @typedef {{
 *   id: string, version: number, number: number, attachment: string, attachment_number: number, sample: string, sample_number: string, path: Point[], width_px: number,
 *   boundaries: number[] | null, notes: string, read_at: string | null, state: "waiting" | "read" | "refused", refusal: string, trouble: string, read_by_older: boolean, calibrated: boolean,
 *   colour_calibrated: boolean, cautions?: string[], layers: ReadLayer[]
 * }} Traverse
 *
 * @typedef {{ start_px: number, length_px: number, step_px: number, lab: number[][], uv: number[][] | null, boundaries: { at_px: number, confidence: number }[], found: number[] }} Profile
 *
 * @typedef {{ field: string, standing: unknown, read: unknown }} Difference
 *
 * @typedef {{
 *   index: number, by_traverse: Record<string, number | null>, thickness_um: { median: number | null, least: number | null, most: number | null } | null, lab: number[] | null,
 *   hex: string | null, uv_colour: string, uv_strength: string, agreement: number | null, standing: string | null, differences: Difference[]
 * }} Reconciled
 *
 * @typedef {{ traverses: string[], layers: Reconciled[], sentence: string, cautions?: string[] }} Lines
 *
 * @typedef {{ id: string, name: string, size: number, sha256: string, received: number, part_size: number, upload: { id: string, name: string, size: number, sha256: string } | null }} SendingRow
 */

export {};
