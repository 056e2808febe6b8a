// The job sheet of one visit, for the customer. Of answers it shows what `data-customers` names and nothing else, so that
// no cost and no margin can come to stand on it (macros/pages/visits.py).
import { make, say } from "../app/site.js";
import { _, day } from "../app/words.js";
import { machine, meter, worked } from "./shown.js";
import * as store from "./store.js";
import { count } from "./unread.js";

/** The calculator whose figures are the price, and its figure to pay. */
const [PRICE, TO_PAY] = ["parts-cost", "gross"];

/** Mount the sheet `[data-sheet]` (macros/pages/templates/sheet.html). */
export async function mount(sheet) {
  const said = sheet.querySelector("[data-said]");
  const press = document.querySelector("[data-press]");
  press.hidden = false;
  press.querySelector("[data-print]").addEventListener("click", () => window.print());
  try {
    const asked = new URLSearchParams(location.search).get("visit");
    const visit = asked ? await store.get(asked) : await store.current();
    if (!visit) {
      press.querySelector("[data-print]").hidden = true;
      return say(said, asked ? _("This visit is not on this device.") : _("No visit is chosen: choose one on the page of all visits."));
    }
    sheet.querySelector("[data-filled]").replaceChildren(...parts(visit, JSON.parse(sheet.dataset.customers)));
    if (visit.who) say(sheet.querySelector("[data-who]"), _("Technician: {name}", { name: visit.who }));
    await picture(visit, sheet.querySelector("[data-photographs]"));
    sheet.querySelector("[data-signed]").hidden = false;
    sheet.dataset.ready = "yes";
  } catch (trouble) {
    say(said, trouble.message);
  }
}

function* parts(visit, customers) {
  yield facts([
    [_("Machine"), machine(visit.machine)],
    [_("Hour meter"), meter(visit)],
    [_("Visit"), day(visit.when)],
    [_("Your reference"), visit.customer],
  ]);
  const rows = make("dl", "rows");
  rows.append(...[
    row(_("Seen"), list("", visit.seen.map(({ title }) => title))),
    row(_("Found"), visit.answers.filter(({ calculator }) => calculator !== PRICE).map((answer) => found(answer, customers))),
    row(_("Done"), list("ticked", done(visit.steps))),
    row(_("Parts used"), used(visit.parts)),
    row(_("Notes"), texts(visit.notes)),
    row(_("To do"), texts(visit.remains)),
    row(_("Time"), texts(worked(visit))),
    row(_("Price"), price(visit, customers)),
  ].filter(Boolean));
  yield rows;
}

function facts(pairs) {
  const list_ = make("dl", "sheet-facts");
  for (const [name, text] of pairs.filter(([, value]) => value)) {
    const pair = make("div");
    pair.append(make("dt", "", name), make("dd", "", text));
    list_.append(pair);
  }
  return list_;
}

/** A row of the sheet; nothing when nothing stands in it. */
function row(name, held) {
  const shown = held.filter(Boolean);
  if (!shown.length) return null;
  const line = make("div");
  const words = make("dd");
  words.append(...shown);
  line.append(make("dt", "", name), words);
  return line;
}

function list(className, entries) {
  if (!entries.length) return [];
  const made = make("ul", className);
  made.append(...entries.map((text) => make("li", "", text)));
  return [made];
}

function texts(text) {
  return text.split("\n").filter((line) => line.trim()).map((line) => make("p", "", line));
}

/** What was done: each procedure with the number of its steps that are ticked. */
function done(steps) {
  const counts = new Map();
  for (const { procedureTitle, done: ticked } of steps) {
    if (ticked) counts.set(procedureTitle, (counts.get(procedureTitle) ?? 0) + 1);
  }
  return [...counts].map(([title, count]) => (count === 1
    ? _("{procedure} (1 step)", { procedure: title })
    : _("{procedure} ({count} steps)", { procedure: title, count })));
}

function found(answer, customers) {
  const seen = customers[answer.calculator];
  if (!seen) return null; // of a calculator that this edition does not know nothing can be told
  const figures = figuresOf(answer, seen);
  if (!seen.says && !figures) return null;
  const block = make("div", "found-one");
  block.append(make("p", "says", seen.says ? answer.answer : answer.title));
  if (figures) block.append(figures);
  return block;
}

function figuresOf(answer, { figures }) {
  const shown = answer.figures.filter(({ name }) => figures.includes(name));
  if (!shown.length) return null;
  const table = make("dl", "sheet-figures");
  for (const { name, title, text } of shown) {
    const pair = make("div", name === TO_PAY ? "total" : "");
    pair.append(make("dt", "", title), make("dd", "", text));
    table.append(pair);
  }
  return table;
}

function used(entries) {
  if (!entries.length) return [];
  const table = make("table");
  const head = make("tr");
  for (const words of [_("Part"), _("Number"), _("Count")]) {
    const cell = make("th", words === _("Count") ? "num" : "", words);
    cell.scope = "col";
    head.append(cell);
  }
  table.append(make("thead"), make("tbody"));
  table.tHead.append(head);
  for (const part of entries) {
    const line = make("tr");
    line.append(make("td", "", part.title), make("td", "", part.number), make("td", "num", String(count(part))));
    table.tBodies[0].append(line);
  }
  return [table];
}

/** What is charged, and how it is made up as worked out last; where something else was agreed, that alone. */
function price(visit, customers) {
  const worked = visit.answers.findLast(({ calculator }) => calculator === PRICE);
  const figures = worked && customers[PRICE] && figuresOf(worked, customers[PRICE]);
  const digits = (text) => text.replace(/\D/g, "");
  const toPay = worked?.figures.find(({ name }) => name === TO_PAY)?.text ?? "";
  if (!visit.price || digits(toPay) === digits(visit.price)) return [figures ?? null];
  return [make("p", "says", visit.price)];
}

async function picture(visit, place) {
  for (const { id, about, width, height } of visit.photographs) {
    const blob = await store.photograph(id);
    if (!blob) continue;
    const image = make("img");
    Object.assign(image, { src: URL.createObjectURL(blob), alt: about || _("Photograph of this visit") });
    if (width && height) Object.assign(image, { width, height });
    await image.decode().catch(() => {}); // one that cannot be drawn has its words
    const figure = make("figure");
    figure.append(image);
    if (about) figure.append(make("figcaption", "small", about));
    place.append(figure);
  }
  place.hidden = !place.children.length;
}
