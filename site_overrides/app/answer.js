// Lays out an answer, with the markup of the page as delivered (macros/pages/templates/answer.html).
import { _ } from "./words.js";
import { described as element, settle } from "./standing.js";

/** Figures shown large; the others stand among the workings. */
const LARGE = 4;
/** Tables with fewer columns than this are open at once. */
const NARROW = 5;

/** A figure is said by a screen reader with its name, a line with its formula, also where one number of it is new. */
const ATOMIC = { "aria-atomic": "true" };

/**
 * Make what stands in `place` the answer `shown` (texts made by the calculators, calculators/present.py). `suffix` is put after each
 * id of the picture, so that ids are unique on the page. Folds stay as the reader left them.
 */
export function render(place, shown, suffix = "") {
  const folds = new Map([...place.querySelectorAll("details")].map((one) => [one.firstElementChild.textContent, one.open]));
  settle(place, "refused" in shown ? refusal(shown) : answer(shown, suffix, folds));
}

function refusal({ refused }) {
  return [sentence("says", _("Not calculated.")), list(refused.map(({ text }) => text))];
}

function* answer(shown, suffix, folds) {
  const fold = (title, open, children) => element("details", { class: "fold", open: folds.get(title) ?? open ? "" : null },
    element("summary", {}, title), element("div", {}, children));
  yield sentence("says", shown.answer);
  for (const caution of shown.cautions) yield sentence("caution", caution);
  const large = shown.figures.filter(({ minor }) => !minor);
  if (large.length) yield element("dl", { class: "figures" }, large.slice(0, LARGE).map(figure));
  // Drawn by our own calculators, which escape every text in it.
  if (shown.picture) yield { name: "figure", attributes: {}, markup: shown.picture, suffix };
  if (shown.notes.length) yield list(shown.notes);
  for (const table of shown.tables) yield fold(table.title, table.columns.length < NARROW, [rows(table)]);
  const small = [...large.slice(LARGE), ...shown.figures.filter(({ minor }) => minor)];
  yield fold(_("How it was worked out"), false, [
    ...(small.length ? [element("dl", { class: "rows plain" }, small.map(minor))] : []),
    ...shown.workings.map(working),
    ...shown.sources.map((source) => sentence("small", source)),
  ]);
}

function sentence(kind, text) {
  return element("p", { class: kind, "aria-atomic": null }, text);
}

function list(texts) {
  return element("ul", { class: "notes" }, texts.map((text) => element("li", {}, text)));
}

function figure({ title, value, unit, range }) {
  return element("div", ATOMIC,
    element("dt", {}, range ? [`${title} `, element("span", {}, `${range} ${unit}`)] : title),
    element("dd", { class: [...value, ...unit].length > 7 ? "long" : null }, unit ? [`${value} `, element("small", {}, unit)] : value));
}

function minor({ title, value, unit, range }) {
  const number = unit ? `${value} ${unit}` : value;
  return element("div", ATOMIC,
    element("dt", {}, title),
    element("dd", {}, range ? [`${number} `, element("span", {}, `${range} ${unit}`)] : number));
}

function working({ formula, numbers, result }) {
  return element("p", { class: "sum", ...ATOMIC }, formula, numbers ? element("span", {}, numbers) : [], element("b", {}, result));
}

function rows({ columns, rows: lines }) {
  return element("table", { class: "cards" },
    element("thead", {}, element("tr", {}, columns.map((column) => element("th", { scope: "col" }, column)))),
    element("tbody", {}, lines.map((line) => element("tr", ATOMIC,
      line.map((text, index) => element("td", { "data-label": columns[index] }, text))))));
}
