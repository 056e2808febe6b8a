// Where the handbook stands, and what this device keeps for it.

/** Address of the home page, with its slash; everything else is relative to it. */
export const base = new URL("../", import.meta.url).href;

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

/** Keep `value` (plain JSON; null forgets it) under `key`. False when it lasts only as long as the page. */
export function keep(key, value) {
  try {
    if (value === null) localStorage.removeItem(prefix + key);
    else localStorage.setItem(prefix + key, JSON.stringify(value));
    return true;
  } catch {
    memory.set(key, value);
    return false;
  }
}

/** `element.textContent`, changed only when it differs, so that screen readers say it once. */
export function say(element, text) {
  if (element && element.textContent !== text) element.textContent = text;
}

/** A new element with a class and text; children may be added after. */
export function make(tag, className = "", text = "") {
  const element = document.createElement(tag);
  if (className) element.className = className;
  if (text) element.textContent = text;
  return element;
}
