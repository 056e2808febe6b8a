// Earlier visits to the same machine, and the readings in them that a later visit has a use for.
import { ownUnit } from "../app/form.js";
import { number } from "../app/number.js";
import { _ } from "../app/words.js";

/** The visits before `visit` to the same machine, known by its kind and its serial number; the newest first. */
export function before(visits, visit) {
  const { id, serial } = visit.machine;
  if (!id || !serial.trim()) return [];
  return visits.filter((one) => one.id !== visit.id && one.begun < visit.begun && one.machine.id === id
    && plain(one.machine.serial) === plain(serial));
}

/** A serial number without what people write now so, now so. */
export const plain = (serial) => serial.replace(/[\s.-]/g, "").toUpperCase();

/** A quantity as it was given (a number, or text with a unit) in its field's base unit; null when it is none. */
export function quantity(field, given) {
  const own = ownUnit(field, given);
  const value = own && number(own.text);
  return value === null ? null : value * own.factor + own.offset;
}

/**
 * Readings of the edge that was in use last: {rows, when}, every reading once, by hours; null without any. An edge ends
 * where another number of edge was given, or where the hours begin anew.
 */
export function edge(visits, fields) {
  const rows = new Map();
  let [number, most, when] = [null, Infinity, ""];
  for (const { inputs, at } of answers(visits, "edge-life")) {
    const hours = inputs.readings.map((row) => quantity(fields.hours, row.hours) ?? 0);
    if (when && (String(inputs.edge_now ?? "") !== number || Math.max(...hours) > most)) break;
    [number, most, when] = [String(inputs.edge_now ?? ""), Math.max(...hours), when || at];
    for (const [index, row] of inputs.readings.entries()) {
      if (!rows.has(hours[index])) rows.set(hours[index], row);
    }
  }
  if (!when) return null;
  return { rows: [...rows].sort(([a], [b]) => a - b).map(([, row]) => row), when: when.slice(0, 10) };
}

/** The readings of the last time that the path was sound: {rows, when}; null without any. */
export function healthy(visits) {
  const well = answers(visits, "suction-drop").find(({ result }) => result.outcome === "path-sound");
  return well ? { rows: well.inputs.readings, when: well.at.slice(0, 10) } : null;
}

/** Every answer of a calculator in `visits`, the newest first. */
function answers(visits, calculator) {
  return visits.flatMap((visit) => visit.answers).filter((one) => one.calculator === calculator && one.inputs.readings?.length)
    .sort((a, b) => (a.at < b.at ? 1 : -1));
}

/** Calculator -> what is offered from earlier visits: into which list, whether rows of one's own come after, and in words. */
export const OFFERS = {
  "edge-life": { list: "readings", more: true, rows: edge,
    words: (values) => _("Readings of this edge from earlier visits, the last on {day}: {count}.", values) },
  "suction-drop": { list: "healthy", more: false, rows: healthy,
    words: (values) => _("Readings of this machine when it was well, on {day}: {count}.", values) },
};
