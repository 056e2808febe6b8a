// What is written in the moment before a page is left may come too late for the database. So the whole visit is kept beside it,
// where a text is kept at once, and the next page puts the two together: what reached the disk after all is not there twice.
import { keep, recall } from "../app/site.js";

const KEY = "leaving";
/** Milliseconds after which a page that was to be left has stayed. */
const STAYED = 2000;

const listeners = new Set();
let leaving = false;
let kept = null; // what this page put there

// Before all other listeners: they write because the page is left.
for (const kind of ["beforeunload", "pagehide"]) {
  window.addEventListener(kind, () => {
    leaving = true;
    for (const listener of listeners) listener();
    setTimeout(() => { leaving = false; }, STAYED);
  }, true);
}

/** Call `listener()` as the page is being left, before anything is written because of it. */
export const onLeaving = (listener) => listeners.add(listener);

/** Whether the page is being left. */
export const begun = () => leaving;

/** Keep `visit` beside the database. */
export function put(visit) {
  kept = visit;
  keep(KEY, visit);
}

/** The visit that an earlier page left so; null when there is none. */
export const left = () => recall(KEY);

/** `visit` was written into the database: what this page kept beside it, if no later, is in there. */
export function written(visit) {
  if (kept?.id === visit.id && kept.changed <= visit.changed) taken();
}

/** What was kept is in the database. */
export function taken() {
  kept = null;
  keep(KEY, null);
}
