// Lays out an answer, with the markup of the page as delivered (macros/pages/templates/answer.html).
import { make } from "./site.js";
import { _ } from "./words.js";

/** Figures shown large; the others stand among the workings. */
const LARGE = 4;
/** Tables with fewer columns than this are open at once. */
const NARROW = 5;

/** What is gone into where it differs; anything else is put in whole, so that a screen reader says a figure with its name. */
const PARTED = "ul, dl, table, tbody, details, details > div, figure, svg, svg *";

/**
 * Make what stands in `place` the answer `shown` (texts made by the calculators, calculators/present.py); what is as it was stays, so
 * that a key lays out and paints no more than what it changed. `suffix` is put after each id of the picture, so that ids are unique
 * on the page. Folds stay as the reader left them.
 */
export function render(place, shown, suffix = "") {
  const folds = new Map([...place.querySelectorAll("details")].map((fold) => [fold.firstElementChild.textContent, fold.open]));
  const fresh = make("div");
  fresh.append(...("refused" in shown ? refusal(shown) : answer(shown, suffix)));
  for (const fold of fresh.querySelectorAll("details")) {
    fold.open = folds.get(fold.firstElementChild.textContent) ?? fold.open;
  }
  settle(place, fresh);
}

/** Give `old` the children of `fresh`. */
function settle(old, fresh) {
  const standing = [...old.childNodes];
  const coming = [...fresh.childNodes];
  for (const [index, node] of coming.entries()) {
    const one = standing[index];
    if (!one) old.append(node);
    else if (one.isEqualNode(node)) continue;
    else if (one.nodeName !== node.nodeName || !(one.matches?.(PARTED) && node.matches(PARTED))) one.replaceWith(node);
    else {
      for (const { name } of [...one.attributes]) if (!node.hasAttribute(name)) one.removeAttribute(name);
      for (const { name, value } of node.attributes) if (one.getAttribute(name) !== value) one.setAttribute(name, value);
      settle(one, node);
    }
  }
  for (const node of standing.slice(coming.length)) node.remove();
}

function refusal({ refused }) {
  return [make("p", "says", _("Not calculated.")), list(refused.map(({ text }) => text))];
}

function* answer(shown, suffix) {
  yield make("p", "says", shown.answer);
  for (const caution of shown.cautions) yield make("p", "caution", caution);
  const large = shown.figures.filter(({ minor }) => !minor);
  if (large.length) yield figures(large.slice(0, LARGE));
  if (shown.picture) yield picture(shown.picture, suffix);
  if (shown.notes.length) yield list(shown.notes);
  for (const table of shown.tables) {
    const { columns } = table;
    yield fold(table.title, columns.length < NARROW, [rows(table)]);
  }
  const small = [...large.slice(LARGE), ...shown.figures.filter(({ minor }) => minor)];
  yield fold(_("How it was worked out"), false, [
    ...(small.length ? [minor(small)] : []),
    ...shown.workings.map(working),
    ...shown.sources.map((source) => make("p", "small", source)),
  ]);
}

function list(texts) {
  return filled(make("ul", "notes"), texts.map((text) => make("li", "", text)));
}

function figures(large) {
  return filled(make("dl", "figures"), large.map(({ title, value, unit, range }) => {
    const name = make("dt", "", title);
    if (range) name.append(" ", make("span", "", `${range} ${unit}`));
    const number = make("dd", [...value, ...unit].length > 7 ? "long" : "", value);
    if (unit) number.append(" ", make("small", "", unit));
    return filled(make("div"), [name, number]);
  }));
}

function minor(small) {
  return filled(make("dl", "rows plain"), small.map(({ title, value, unit, range }) => {
    const number = make("dd", "", unit ? `${value} ${unit}` : value);
    if (range) number.append(" ", make("span", "", `${range} ${unit}`));
    return filled(make("div"), [make("dt", "", title), number]);
  }));
}

function working({ formula, numbers, result }) {
  const line = make("p", "sum", formula);
  if (numbers) line.append(make("span", "", numbers));
  line.append(make("b", "", result));
  return line;
}

function rows({ columns, rows: lines }) {
  const heads = columns.map((column) => {
    const head = make("th", "", column);
    head.scope = "col";
    return head;
  });
  const body = lines.map((line) => filled(make("tr"), line.map((text, index) => {
    const cell = make("td", "", text);
    cell.dataset.label = columns[index];
    return cell;
  })));
  return filled(make("table", "cards"), [
    filled(make("thead"), [filled(make("tr"), heads)]),
    filled(make("tbody"), body),
  ]);
}

function fold(title, open, children) {
  const details = make("details", "fold");
  details.open = open;
  return filled(details, [make("summary", "", title), filled(make("div"), children)]);
}

/** The picture, as markup: drawn by our own calculators, which escape every text in it. */
function picture(svg, suffix) {
  const drawn = document.createElement("template");
  drawn.innerHTML = svg;
  for (const element of drawn.content.querySelectorAll("[id], [aria-labelledby]")) {
    if (element.id) element.id += suffix;
    const by = element.getAttribute("aria-labelledby");
    if (by) element.setAttribute("aria-labelledby", by.split(" ").map((id) => id + suffix).join(" "));
  }
  return filled(make("figure"), [drawn.content]);
}

function filled(element, children) {
  element.append(...children);
  return element;
}
