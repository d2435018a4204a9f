/** From the order of layers that is wanted to positions, as the service reads them: row by row, each row moving those above it. */

/** @typedef {{ id: string, position: number, makes: boolean }} Placing */

/**
 * What must be said so that the layers stand as wanted. Layers that are about to be removed are still there while the rows are read.
 * @param {readonly string[]} there the layers as the service has them, lowest first
 * @param {readonly string[]} wanted those that shall stand, lowest first; what is not there yet is made
 * @returns {Placing[]}
 */
export function placings(there, wanted) {
  const known = new Set(there);
  const whole = walked(there, wanted, known);
  if (agrees(settled(there, whole), wanted)) return whole;
  // A layer is not moved to the position that it has already, even if others have pushed it away by then: so one at a time.
  const first = walked(there, wanted.filter((id) => known.has(id)), known).slice(0, 1);
  return first;
}

/** @param {readonly string[]} there @param {readonly string[]} wanted @param {ReadonlySet<string>} known */
function walked(there, wanted, known) {
  const stays = longestRise(wanted.filter((id) => known.has(id)), there);
  const list = [...there];
  /** @type {Placing[]} */
  const found = [];
  for (const [index, id] of wanted.entries()) {
    if (stays.has(id)) continue;
    if (known.has(id)) list.splice(list.indexOf(id), 1);
    const beneath = wanted[index - 1];
    const place = beneath === undefined ? 0 : list.indexOf(beneath) + 1;
    list.splice(place, 0, id);
    found.push({ id, position: place + 1, makes: !known.has(id) });
  }
  return found;
}

/** What the service makes of it. @param {readonly string[]} there @param {readonly Placing[]} rows */
export function settled(there, rows) {
  const list = [...there];
  for (const { id, position, makes } of rows) {
    if (!makes && there.indexOf(id) === position - 1) continue;
    if (!makes) list.splice(list.indexOf(id), 1);
    list.splice(position - 1, 0, id);
  }
  return list;
}

/** @param {readonly string[]} list @param {readonly string[]} wanted */
function agrees(list, wanted) {
  const shall = new Set(wanted);
  return list.filter((id) => shall.has(id)).join("\n") === wanted.join("\n");
}

/** As many layers as can stay where they are while the others are moved. @param {readonly string[]} wanted @param {readonly string[]} there */
function longestRise(wanted, there) {
  const places = wanted.map((id) => there.indexOf(id));
  /** @type {number[]} */
  const length = [];
  /** @type {number[]} */
  const from = [];
  for (const [at, place] of places.entries()) {
    length[at] = 1;
    from[at] = -1;
    for (let other = 0; other < at; other += 1) {
      if ((places[other] ?? 0) < place && (length[other] ?? 0) + 1 > (length[at] ?? 0)) {
        length[at] = (length[other] ?? 0) + 1;
        from[at] = other;
      }
    }
  }
  let at = length.indexOf(Math.max(0, ...length));
  /** @type {Set<string>} */
  const found = new Set();
  while (at >= 0) {
    found.add(wanted[at] ?? "");
    at = from[at] ?? -1;
  }
  return found;
}

/**
 * The order to show when the service tells its own anew: mine where I moved something that is not saved yet, else the service's; what is new
 * on either side stands where it stood beside its neighbour beneath.
 * @param {readonly string[]} wanted @param {readonly string[]} before as the service last told it @param {readonly string[]} now
 * @param {(id: string) => boolean} exists here or there, and not about to be removed
 */
export function reconciled(wanted, before, now, exists) {
  const mine = !agrees(before, wanted.filter((id) => before.includes(id)));
  const [base, other] = mine ? [wanted, now] : [now, wanted];
  const list = base.filter(exists);
  for (const [index, id] of other.entries()) {
    if (!exists(id) || list.includes(id)) continue;
    const beneath = other.slice(0, index).reverse().find((one) => list.includes(one));
    list.splice(beneath === undefined ? 0 : list.indexOf(beneath) + 1, 0, id);
  }
  return list;
}
