// The machine that the reader chose; it stays chosen, on this page and on every other.
import { keep, recall, say } from "./site.js";

const listeners = new Set();

/** Id of the machine chosen; the first one offered on the page until a choice was made; "" without any. */
export function chosen() {
  const offered = machines();
  const kept = recall("machine", "");
  return kept && (!offered.length || many() || offered.includes(kept)) ? kept : offered[0] || "";
}

/** Whether the handbook has more machines than a page names. */
function many() {
  return document.querySelector("[data-many]") !== null;
}

/** Call `listener(id)` whenever another machine is chosen, in another window too. */
export function onChange(listener) {
  listeners.add(listener);
}

function machines() {
  const titles = document.querySelector("[data-titles]");
  if (titles) return Object.keys(JSON.parse(titles.dataset.titles));
  return [...document.querySelectorAll("[data-machines] [name=machine]")].map((choice) => choice.value);
}

/** Mount a chooser `[data-machines]` or a place that names the machine, `[data-machine-name]`. */
export function mount(element) {
  show(element);
  listeners.add(() => show(element));
  if ("machines" in element.dataset) element.addEventListener("change", ({ target }) => choose(target.value));
}

/** Choose a machine; it stays chosen. `title`: what pages call it that do not name it. */
export function choose(id, title = "") {
  keep("machine", id);
  if (title) keep("machine-title", [id, title]);
  for (const listener of listeners) listener(id);
}

function show(element) {
  const id = chosen();
  if (element.dataset.titles) say(element, JSON.parse(element.dataset.titles)[id] || titleKept(id) || element.textContent);
  for (const choice of element.querySelectorAll("[name=machine]")) {
    if (choice.tagName === "SELECT") choice.value = id;
    else choice.checked = choice.value === id;
  }
  document.documentElement.dataset.machine = id;
}

function titleKept(id) {
  const [of, title] = recall("machine-title", []);
  return of === id ? title : "";
}

window.addEventListener("storage", (event) => {
  if (event.key?.endsWith(":machine")) for (const listener of listeners) listener(chosen());
});
