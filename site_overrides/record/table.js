// Visits as tables for a spreadsheet: CSV after RFC 4180, UTF-8 with its mark, cells that a spreadsheet cannot take for formulas.
import { _ } from "../app/words.js";
import { count, unread } from "./unread.js";

/** Says to spreadsheets that what follows is UTF-8. */
const MARK = "\uFEFF";

/** Rows of cells (text, number or null) as CSV. */
export function csv(rows) {
  return MARK + rows.map((row) => `${row.map(cell).join(",")}\r\n`).join("");
}

function cell(value) {
  const text = harmless(value === null || value === undefined ? "" : String(value));
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/** A spreadsheet takes what begins so for a formula, whoever wrote it; after an apostrophe it stays text. A number is none. */
function harmless(text) {
  return /^[=+\-@\t\r\n＝＋－＠]/.test(text) && !/^-?\d+(\.\d+)?$/.test(text) ? `'${text}` : text;
}

/** One row for each visit, under a row of headings. */
export function ofVisits(visits) {
  return [
    [_("Visit"), _("Date"), _("Customer's reference"), _("Machine"), _("Serial number"), _("Hour meter, h"), _("Technician"),
      _("Begun"), _("Ended"), _("Time, min"), _("Price"), _("Seen"), _("Steps done"), _("Answers"), _("Parts used"),
      _("Notes"), _("Remarks"), _("Photographs"), _("Remains to do"), _("Edition")],
    ...visits.map((visit) => [visit.id, visit.when, visit.customer, visit.machine.title, visit.machine.serial, unread(visit, "machine.hours") || visit.machine.hours,
      visit.who, visit.begun, visit.ended, unread(visit, "minutes") || visit.minutes, visit.price, lines(visit.seen, ({ title }) => title),
      lines(visit.steps.filter(({ done }) => done), ({ procedureTitle, title }) => `${procedureTitle}: ${title}`),
      lines(visit.answers, ({ answer }) => answer),
      lines(visit.parts, (part) => `${count(part)} × ${part.number} ${part.title}`), visit.notes,
      lines(visit.remarks, ({ procedureTitle, title, text }) => `${procedureTitle}: ${title}: ${text}`),
      visit.photographs.length, visit.remains, visit.edition]),
  ];
}

/** One row for each figure of each answer, under a row of headings; an answer without figures has one row. */
export function ofAnswers(visits) {
  return [
    [_("Visit"), _("Date"), _("Customer's reference"), _("Machine"), _("Serial number"), _("Answered"), _("Calculator"),
      _("Answer"), _("Figure"), _("As shown"), _("Value"), _("Unit")],
    ...visits.flatMap((visit) => visit.answers.flatMap((answer) => {
      const whose = [visit.id, visit.when, visit.customer, visit.machine.title, visit.machine.serial, answer.at, answer.title,
        answer.answer];
      if (!answer.figures.length) return [[...whose, "", "", "", ""]];
      return answer.figures.map(({ name, title, text }) => {
        const figure = answer.result.figures?.[name];
        const plain = figure !== null && typeof figure === "object" ? figure : { value: figure };
        return [...whose, title, text, plain.value, plain.unit];
      });
    })),
  ];
}

function lines(entries, text) {
  return entries.map(text).join("\n");
}
