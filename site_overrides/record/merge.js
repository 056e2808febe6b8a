// Two copies of a visit become one: nothing entered on either is lost, nothing is there twice.
//
// In whatever order and however often copies meet, the same visit comes out: of two entries with one id the later one
// stays, of the visit's own texts and figures those of the copy changed last, and what was taken out stays out.

/** The lists of a visit, whose entries are merged one by one. */
const LISTS = ["seen", "steps", "answers", "parts", "remarks", "photographs"];

/** The visit that two copies with one id make together. Neither is altered. */
export function merged(one, other) {
  const visit = later(alone(one), alone(other), "changed");
  const removed = new Set([...one.removed, ...other.removed]);
  const lists = LISTS.map((name) => [name, together([...one[name], ...other[name]], removed)]);
  return { ...visit, ...Object.fromEntries(lists), removed: [...removed].sort() };
}

/** A visit without what is merged entry by entry. */
function alone(visit) {
  return Object.fromEntries(Object.entries(visit).filter(([name]) => name !== "removed" && !LISTS.includes(name)));
}

function together(entries, removed) {
  const kept = new Map();
  for (const entry of entries) {
    if (!removed.has(entry.id)) kept.set(entry.id, later(kept.get(entry.id) ?? entry, entry, "at"));
  }
  return [...kept.values()].sort((a, b) => order(a.at, b.at) || order(a.id, b.id));
}

/** The one whose moment is the later; where both have the same, the same one whichever is asked for first. */
function later(one, other, moment) {
  return (order(one[moment], other[moment]) || order(canonical(one), canonical(other))) < 0 ? other : one;
}

function order(a, b) {
  return a < b ? -1 : a > b ? 1 : 0;
}

/** The same text for the same plain value, in whatever order its names were written. */
export function canonical(value) {
  return JSON.stringify(value, (_name, part) => (part && typeof part === "object" && !Array.isArray(part)
    ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => order(a, b)))
    : part));
}

/**
 * What taking `theirs` ({visit, photographs} each) to the visits `mine` comes to: {put, fresh, updated, same}. `put`: what
 * is to be written, of the same shape; `fresh`, `updated`, `same`: how many visits were not here, gain something, gain nothing.
 */
export function plan(mine, theirs) {
  const here = new Map(mine.map((visit) => [visit.id, visit]));
  const put = [];
  for (const { visit, photographs } of once(theirs)) {
    const known = here.get(visit.id);
    const result = known ? merged(known, visit) : visit;
    if (known && canonical(result) === canonical(merged(known, known))) continue;
    const wanted = new Set(result.photographs.map(({ id }) => id));
    put.push({ visit: result, photographs: new Map([...photographs].filter(([id]) => wanted.has(id))) });
  }
  const fresh = put.filter(({ visit }) => !here.has(visit.id)).length;
  return { put, fresh, updated: put.length - fresh, same: once(theirs).length - put.length };
}

/** Copies of one visit within one file are merged first. */
function once(many) {
  const found = new Map();
  for (const { visit, photographs } of many) {
    const before = found.get(visit.id);
    found.set(visit.id, {
      visit: merged(before?.visit ?? visit, visit),
      photographs: new Map([...before?.photographs ?? [], ...photographs]),
    });
  }
  return [...found.values()];
}
