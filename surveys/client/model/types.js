/**
 * The shapes of what the interface answers, as far as the client reads them. Types only.
 *
 * @typedef {{ id: number, username: string, name: string, email: string, daily_digest: boolean }} Person
 *
 * @typedef {"coordinator" | "consultant" | "owner" | "contractor"} Role
 *
 * @typedef {{
 *   id: string, version: number, code: string, name: string, place: string, role: Role, discipline: string, summary?: string,
 *   first_year?: number | null, last_year?: number | null, notes?: string, element_classes?: string[], cursor?: number,
 *   dated_at?: string | null, created_at?: string
 * }} Project
 *
 * @typedef {Record<string, unknown> & { id: string, version: number }} Row
 *
 * @typedef {{
 *   id: string, version: number, number: string, name: string, storey: string, kind: string, notes: string, element_count: number,
 *   sample_count: number, layer_count: number, generation_count: number, correlated_at: string | null, correlated_by: string
 * }} Space
 *
 * @typedef {{
 *   id: string, version: number, ordinal: number, label: string, description: string, technique: string, earliest: number | null,
 *   latest: number | null, earliest_by: Setter[], latest_by: Setter[], phase: string | null, phase_id: string | null,
 *   distinctness: number | null
 * }} Generation
 *
 * @typedef {{ kind?: string, key?: string, id?: string, sentence?: string, name?: string }} Setter
 *
 * @typedef {{
 *   sample: string, sample_id: string, element: string, element_id: string, class: string, position: string, base_state: string,
 *   top_state: string
 * }} ChartSample
 *
 * @typedef {{
 *   layer: string, layer_id: string, version: number, sample: string, position: number, kind: string, completeness: string, colour: string,
 *   generation: number | null, confidence: number | null, runner_up: number | null, runner_up_confidence: number | null, munsell: string,
 *   lab: number[] | null, srgb: string | null, in_gamut: boolean, uv_colour: string, uv_strength: string, held: boolean
 * }} Cell
 *
 * @typedef {{
 *   project: string, space: string, space_id: string, space_name: string, generations: Generation[], samples: ChartSample[], cells: Cell[],
 *   correlated_at: string | null, correlated_by: string, current: boolean, notes: string[], cautions: string[]
 * }} Chart
 *
 * @typedef {{
 *   id: string, version: number, kind: string, first_layer: string, first_layer_name: string, second_layer: string | null,
 *   second_layer_name: string | null, generation: string | null, generation_ordinal: number | null, reason: string, created_at: string,
 *   created_by: string
 * }} Ruling
 *
 * @typedef {"queued" | "running" | "done" | "failed" | "cancelled"} JobState
 *
 * @typedef {{ name: string, size: number, sha256: string, content_type: string, url: string }} OutputFile
 *
 * @typedef {{
 *   id: string, created_at: string, created_by: string, kind: string, params: Record<string, string>, state: JobState,
 *   progress: { done: number, total: number, now: string }, result: any, files: OutputFile[], error: string, started_at: string | null,
 *   finished_at: string | null, cancel_asked: boolean, attempt: number
 * }} Job
 *
 * @typedef {{
 *   sequence: number, at: string, actor: string, action: "created" | "changed" | "removed" | "restored", record_type: string,
 *   record_id: string, record_name: string, version: number, fields: Record<string, [unknown, unknown]>, act: string, reason: string
 * }} Change
 *
 * @typedef {{
 *   sentence: string, records: { kind: string, key: string, id: string | null }[], generations: string[],
 *   set_aside?: { kind: string, key: string }[]
 * }} DateConflict
 *
 * @typedef {{ id: string, version: number, person: number, username: string, name: string, role: Role, discipline: string }} Member
 *
 * @typedef {{ id: string, label: string, created_at: string, last_used_at: string | null, token?: string }} Token
 *
 * @typedef {{ pointer: string, code: string, detail: string, parameter?: string }} Place
 */

export {};
