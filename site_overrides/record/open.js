// The visit that is open, for the behaviours of every page: which it is, and the one way to write into it.
import * as store from "./store.js";

const listeners = new Set();
let visit = null;
let trouble = "";
let first = null;

/** Call `listener(visit, trouble)` as soon as it is known which visit is open (null: none), and after every change. */
export async function onVisit(listener) {
  await loaded();
  listeners.add(listener);
  listener(visit, trouble);
}

function loaded() {
  first ??= (async () => {
    await look();
    store.news.addEventListener("change", async () => { await look(); tell(); });
    // A page that comes back out of the browser's memory has heard nothing meanwhile.
    window.addEventListener("pageshow", async ({ persisted }) => { if (persisted) { await look(); tell(); } });
  })();
  return first;
}

async function look() {
  // Where the record is refused no visit is open; the page of the visit says why.
  visit = await store.current().catch(() => null);
}

function tell() {
  for (const listener of listeners) listener(visit, trouble);
}

/** Change the open visit by `how(visit)`, see `store.change`; nothing happens while none is open. What fails is told. */
export async function write(how) {
  await loaded();
  return visit ? attempt(() => store.change(visit.id, how)) : null;
}

/** Do `act`, which writes into the record. Its refusal is told to all listeners, until something is written again. */
export async function attempt(act) {
  const before = trouble;
  try {
    const result = await act();
    trouble = "";
    return result;
  } catch (refusal) {
    if (!(refusal instanceof store.Refused)) throw refusal;
    trouble = refusal.message;
    return null;
  } finally {
    if (before !== trouble) tell();
  }
}

/** The entry of `list` about the same step (and calculator) as `like`, the latest; undefined without one. */
export function found(list, like) {
  return list.findLast((one) => Object.entries(like).every(([name, value]) => one[name] === value));
}

/** Change the entry of `list` that is about `like` by `values`, or add one. Returns it. */
export function put(list, like, values) {
  const there = found(list, like);
  if (there) return Object.assign(there, values, { at: store.now(there.at) });
  const made = store.entry({ ...like, ...values });
  list.push(made);
  return made;
}
