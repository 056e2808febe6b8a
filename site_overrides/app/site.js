// Where the handbook stands, and what this device keeps for it.
import { all, put } from "./lasting.js";

/** Address of the home page, with its slash; everything else is relative to it. */
export const base = new URL(document.documentElement.dataset.base, location.href).href;

/** Sets this handbook's keys and caches apart from another's at the same origin. */
export const prefix = `handbook:${new URL(base).pathname}:`;

/** Address of this page relative to the home page, without query and fragment; "" for home. */
export function here() {
  return new URL("./", location.href).href.slice(base.length);
}

const memory = new Map();

/** Kept under `key` on this device, or `otherwise`. Never throws: a private window may refuse storage. */
export function recall(key, otherwise = null) {
  try {
    const text = localStorage.getItem(prefix + key);
    return text === null ? otherwise : JSON.parse(text);
  } catch {
    return memory.has(key) ? memory.get(key) : otherwise;
  }
}

/** When each key was changed last, by localStorage. */
const WHEN = "when";

/** Keep `value` (plain JSON; null forgets it) under `key`. False when it lasts only as long as the page. */
export function keep(key, value) {
  const text = value === null ? null : JSON.stringify(value);
  const when = Date.now();
  try {
    store(key, text, when);
  } catch {
    memory.set(key, value);
    return false;
  }
  put(prefix, key, text, when);
  return true;
}

/** The keys in use that begin with one of `beginnings`. */
export function keys(beginnings) {
  let all = [...memory.keys()];
  try {
    all = Object.keys(localStorage).filter((key) => key.startsWith(prefix)).map((key) => key.slice(prefix.length));
  } catch { /* nothing lasts here */ }
  return all.filter((key) => beginnings.some((beginning) => key.startsWith(beginning)));
}

function store(key, text, when) {
  if (text === null) localStorage.removeItem(prefix + key);
  else localStorage.setItem(prefix + key, text);
  localStorage.setItem(prefix + WHEN, JSON.stringify({ ...recall(WHEN, {}), [key]: when }));
}

/** Bring back what localStorage had not written yet when the browser was ended. To be awaited before anything is recalled. */
export async function recover() {
  const known = recall(WHEN, {});
  for (const { key, text, when } of await all(prefix)) {
    if (when <= (known[key] ?? 0)) continue;
    try {
      store(key, text, when);
    } catch { /* no room: what localStorage has stands */ }
  }
}

/** `element.textContent`, changed only when it differs, so that screen readers say it once. */
export function say(element, text) {
  if (element && element.textContent !== text) element.textContent = text;
}

/** A link to `path`, relative to home. */
export function link(words, path, className = "") {
  const made = make("a", className, words);
  made.href = new URL(path, base).href;
  return made;
}

/** A new element with a class and text; children may be added after. */
export function make(tag, className = "", text = "") {
  const element = document.createElement(tag);
  if (className) element.className = className;
  if (text) element.textContent = text;
  return element;
}
