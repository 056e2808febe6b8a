// A box for a number in a visit: what is typed there and is none stays as it was typed, and is said, until it is one.
import { number, ways } from "../app/number.js";
import { _ } from "../app/words.js";

/** What `text` in such a box comes to: {value, unread}. `value`: a number from 0, or null; `unread`: the text that is none, or "". */
export function read(text) {
  const typed = text.trim();
  const value = typed ? number(typed) : null;
  return value !== null && value >= 0 ? { value, unread: "" } : { value: null, unread: typed && text };
}

/** Why `unread` is no number; "" for "". */
export function why(unread) {
  const [one, other] = ways(unread);
  if (one) return _("{got} may be read as {one} or as {other}: write one of these. Until then it stands as you typed it.", { got: unread, one, other });
  return unread && _("{got} is no number such as 812.5. Until it is one, it stands as you typed it.", { got: unread });
}

/** Put what was read from the box of `name` ("minutes", "machine.hours") into the visit. */
export function put(visit, name, { value, unread }) {
  const { [name]: _before, ...others } = visit.unread ?? {};
  delete visit.unread; // a visit without such a text has no such field, and older editions read it
  if (unread) others[name] = unread;
  if (Object.keys(others).length) visit.unread = others;
  if (name === "machine.hours") visit.machine.hours = value;
  else visit[name] = value;
}

/** The text that is no number where `name` stands in the visit; "" where a number or nothing does. */
export const unread = (visit, name) => visit.unread?.[name] ?? "";

/** How many of a part were used: the number, or what was typed in its place. */
export const count = (part) => part.unread ?? part.count;

/** Whether any text of the visit is one that editions before the second format did not know. */
export const any = (visit) => Boolean(visit.unread) || visit.parts.some((part) => part.unread);
