// Remarks on steps over all visits, for the handbook's author: by procedure and step, without whose machine it was.
import { _ } from "../app/words.js";

/**
 * The remarks of all visits as groups, procedures and steps by their titles, remarks by their moment:
 * [{procedure, title, steps: [{step, title, remarks: [{text, at, machine, edition}]}]}].
 */
export function grouped(visits) {
  const procedures = new Map();
  for (const { visit, remark } of each(visits)) {
    const { procedure, procedureTitle, step, title, text, at } = remark;
    const group = found(procedures, procedure, () => ({ procedure, title: procedureTitle, steps: new Map() }));
    const place = found(group.steps, step, () => ({ step, title, remarks: [] }));
    place.remarks.push({ text, at, machine: visit.machine.title, edition: visit.edition });
  }
  return byTitle(procedures).map((group) => ({ ...group, steps: byTitle(group.steps) }));
}

function each(visits) {
  return visits.flatMap((visit) => visit.remarks.map((remark) => ({ visit, remark })))
    .sort((a, b) => (a.remark.at < b.remark.at ? -1 : 1));
}

function found(map, key, make) {
  if (!map.has(key)) map.set(key, make());
  return map.get(key);
}

function byTitle(map) {
  return [...map.values()].sort((a, b) => a.title.localeCompare(b.title));
}

/** The file for the author, as plain JSON. */
export function file(visits, { made, edition }) {
  return { kind: "handbook-remarks", version: 1, made, edition, procedures: grouped(visits) };
}

/** The same as rows for a spreadsheet (table.js), under a row of headings. */
export function rows(visits) {
  return [
    [_("Procedure"), _("Step"), _("What the step says"), _("Remark"), _("Written"), _("Machine"), _("Edition")],
    ...grouped(visits).flatMap(({ title: procedure, steps }) => steps.flatMap(({ step, title, remarks }) => remarks.map(
      ({ text, at, machine, edition }) => [procedure, step, title, text, at, machine, edition]))),
  ];
}
