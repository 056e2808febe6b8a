// Brings the page to life: one behaviour a file, each with `mount(element)`, loaded where the page has its element.
import { load } from "./words.js";

const BEHAVIOURS = [
  ["[data-machines], [data-machine-name]", "machine"],
  ["[data-calculator]", "calculator"],
  ["[data-path]", "path"],
  ["[data-ticks]", "tick"],
  ["[data-remember], [data-recent]", "recent"],
  ["[data-find]", "find"],
  ["[data-settings]", "settings"],
  ["[data-saved], [data-saved-line], body", "saved"],
  ["body", "print"],
];

await load();
await Promise.all(BEHAVIOURS.map(async ([selector, name]) => {
  const elements = document.querySelectorAll(selector);
  if (!elements.length) return;
  const { mount } = await import(`./${name}.js`);
  for (const element of elements) mount(element);
}));
document.documentElement.dataset.alive = "yes";
