// The program's words in the handbook's language. English stands in the scripts and needs no file.

let catalogue = {};

/** The text in the language of the page, with `{name}` replaced by `values.name`. */
export function _(text, values = {}) {
  const said = Object.hasOwn(catalogue, text) && catalogue[text] || text;
  return said.replace(/\{(\w+)\}/g, (whole, name) => (Object.hasOwn(values, name) ? String(values[name]) : whole));
}

/** Fetch the catalogue of the page's language; without one the page speaks English. */
export async function load(language = document.documentElement.lang) {
  if (!language || language.split("-")[0] === "en") return;
  const asked = () => fetch(new URL("./words.json", import.meta.url));
  try {
    const response = await asked().catch(asked); // once more, as the modules are (boot.js)
    if (response.ok) catalogue = await response.json();
  } catch { /* English then */ }
}

/** The whole catalogue, for the calculators in the worker; null in English. */
export function all() {
  return Object.keys(catalogue).length ? catalogue : null;
}

/** A number of bytes for a person. */
export function megabytes(bytes) {
  return _("{number} MB", { number: (bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0) });
}

/** A day (YYYY-MM-DD) or a moment (ISO 8601) in the page's language, with the order of day and month that this device is set to. */
export function day(iso) {
  return new Date(iso).toLocaleString(locale(), iso.length > 10
    ? { dateStyle: "long", timeStyle: "short" } : { dateStyle: "long", timeZone: "UTC" });
}

/** The time of day of a moment. */
export function clock(iso) {
  return new Date(iso).toLocaleTimeString(locale(), { timeStyle: "short" });
}

function locale() {
  const page = document.documentElement.lang || "en";
  return navigator.languages.find((language) => language.split("-")[0] === page.split("-")[0]) || page;
}
