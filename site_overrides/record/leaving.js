// What is typed in the moment before a page is left may come too late for the database. So the whole visit is kept beside it,
// where a text is kept at once, and the next page puts the two together: what reached the disk after all is not there twice.
import { keep, recall } from "../app/site.js";

const KEY = "leaving";
/** Milliseconds after which a page that was to be left has stayed. */
const STAYED = 2000;

let leaving = false;

// Before all other listeners: they write because the page is left.
for (const kind of ["beforeunload", "pagehide"]) {
  window.addEventListener(kind, () => {
    leaving = true;
    setTimeout(() => { leaving = false; }, STAYED);
  }, true);
}

/**
 * While the page is being left: `visit`, as it was read last, changed by `how` and kept beside the database; null at any other
 * time, and when it has not been read. `now(before)`: this moment.
 */
export function beside(visit, how, now) {
  if (!leaving || !visit) return null;
  const copy = structuredClone(visit);
  how(copy);
  copy.changed = now(copy.changed);
  keep(KEY, copy);
  return copy;
}

/** The visit that an earlier page left so; null when there is none. */
export const left = () => recall(KEY);

/** It is in the database. */
export const taken = () => keep(KEY, null);
