// Brings the page to life: one behaviour a file, each with `mount(element)`, loaded where the page has its element.
import { alive } from "./drawn.js";
import { recover } from "./site.js";
import { load } from "./words.js";

const BEHAVIOURS = [
  ["[data-machines], [data-machine-name]", "machine"],
  ["[data-chooses]", "chosen"],
  ["[data-calculator]", "calculator"],
  ["[data-path]", "path"],
  ["[data-opens]", "beside"],
  ["[data-ticks]", "tick"],
  ["[data-ticks]", "at_hand"],
  ["[data-wait]", "wait"],
  ["[data-remember], [data-recent]", "recent"],
  ["[data-find]", "find"],
  ["[data-settings]", "settings"],
  ["[data-saved], [data-saved-line], body", "saved"],
  ["body", "print"],
  ["[data-visits]", "../record/visits"],
  ["[data-sheet]", "../record/sheet"],
  ["[data-visit-line], [data-visit-trouble]", "../record/line"],
  ["[data-path]", "../record/seen"],
  ["[data-ticks]", "../record/steps"],
  ["[data-calculator]", "../record/answers"],
  ["[data-visits-of]", "../record/of_machine"],
  ["[data-visit]", "../record/visit"],
];

/** The module of a behaviour; what was not given is asked for `more` times, as in boot.js. */
async function fetched(name, more = 2) {
  try {
    return await import(`./${name}.js`);
  } catch (why) {
    if (!more) throw why;
    await new Promise((rested) => { setTimeout(rested, 100); });
    return fetched(name, more - 1);
  }
}

const used = BEHAVIOURS.map(([selector, name]) => ({ elements: document.querySelectorAll(selector), name }))
  .filter(({ elements }) => elements.length)
  .map(({ elements, name }) => ({ elements, module: fetched(name) })); // on their way while the words are
try {
  await Promise.all([load(), recover()]);
  await Promise.all(used.map(async ({ elements, module }) => {
    const { mount } = await module;
    for (const element of elements) mount(element);
  }));
  document.documentElement.dataset.alive = "yes";
} finally {
  alive(); // what came to life answers all the same
}
