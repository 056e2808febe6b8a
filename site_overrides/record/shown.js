// A visit's times and counts in a reader's words.
import { _ } from "../app/words.js";
import { unread } from "./unread.js";

/** A time of work: 75 -> "1 h 15 min". */
export function time(minutes) {
  const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
  if (!hours) return _("{minutes} min", { minutes: rest });
  return rest ? _("{hours} h {minutes} min", { hours, minutes: rest }) : _("{hours} h", { hours });
}

/** A visit's hour meter, with its unit; what was typed in its place; "" without either. */
export function meter(visit) {
  const { hours } = visit.machine;
  return unread(visit, "machine.hours") || (hours === null ? "" : _("{hours} h", { hours }));
}

/** The time of a visit's work, as `meter` shows the hour meter. */
export function worked(visit) {
  return unread(visit, "minutes") || (visit.minutes === null ? "" : time(visit.minutes));
}

/** The machine of a visit, with its serial number where there is one. */
export function machine({ title, serial }) {
  return serial ? _("{machine}, no. {serial}", { machine: title, serial }) : title;
}

/** What a visit holds, counted: "3 answers, 1 photograph". */
export function counted(visit) {
  const done = visit.steps.filter((step) => step.done);
  return [
    [visit.seen, _("{count} symptom"), _("{count} symptoms")],
    [done, _("{count} step done"), _("{count} steps done")],
    [visit.answers, _("{count} answer"), _("{count} answers")],
    [visit.parts, _("{count} part used"), _("{count} parts used")],
    [visit.remarks, _("{count} remark"), _("{count} remarks")],
    [visit.photographs, _("{count} photograph"), _("{count} photographs")],
  ].filter(([list]) => list.length)
    .map(([list, one, many]) => (list.length === 1 ? one : many).replace("{count}", list.length)).join(", ");
}
