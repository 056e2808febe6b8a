// What a visit can name: machines, parts and procedures of the handbook. A page of a large one fetches it.
import { base } from "../app/site.js";

let fetched = null;

/** {machines: {id: {title, parts}}, parts: {id: {title, number}}, procedures: [id]}; nothing of each where it cannot be had. */
export async function known() {
  fetched ??= fetch(new URL("visit/known.json", base)).then((answer) => (answer.ok ? answer.json() : null)).catch(() => null);
  const found = await fetched;
  if (!found) fetched = null; // asked again when it is needed again
  return found ?? { machines: {}, parts: {}, procedures: [] };
}
