// A calculator used during a visit: its answers go into the visit with the inputs they were given; earlier readings are offered.
import { make, say } from "../app/site.js";
import { _, day } from "../app/words.js";
import * as earlier from "./earlier.js";
import { found, onVisit, write } from "./open.js";
import * as store from "./store.js";

/** Mount a `section.calc[data-calculator]`; app/calculator.js tells "answered" on it and takes "fill". */
export function mount(element) {
  new Answers(element).open();
}

class Answers {
  #answer = null; // what stands in the page: {inputs, result, shown, typed, title}; null for an example
  #mine = ""; // the entry that this page made: it is changed as the typing goes on
  #visit = null;

  constructor(element) {
    this.element = element;
    const [procedure, step] = element.dataset.use.split("/");
    this.use = { calculator: element.dataset.calculator, procedure: step ? procedure : null, step: step ?? null };
    this.place = make("div", "visited");
    this.place.hidden = true; // until it is known that a visit is open
    this.line = make("p", "small");
    this.line.setAttribute("role", "status");
    this.button = make("button", "button", _("Write this answer into the visit"));
    this.button.type = "button";
    this.offer = make("div", "offer");
    this.place.append(this.line, this.button, this.offer);
    element.querySelector(".ask form").before(this.place);
  }

  open() {
    this.element.addEventListener("answered", ({ detail }) => {
      this.#answer = detail;
      if (detail?.typed && this.#visit && !this.#kept()) this.#put();
      this.#show();
    });
    this.button.addEventListener("click", () => this.#put());
    let first = true;
    onVisit((visit) => {
      if (this.#key(visit) !== this.#key(this.#visit)) this.#offer(visit);
      this.#visit = visit;
      // Typed before it was known that a visit is open.
      if (first && visit && this.#answer?.typed && !this.#kept()) this.#put();
      first = false;
      this.#show();
    });
  }

  #key = (visit) => visit && JSON.stringify([visit.id, visit.machine.id, visit.machine.serial]);

  /** Whether the answer that stands in the page is the last one of this place in the visit. */
  #kept() {
    const last = found(this.#visit.answers, this.use);
    return Boolean(last) && JSON.stringify(last.inputs) === JSON.stringify(this.#answer.inputs);
  }

  #show() {
    this.place.hidden = !this.#visit;
    const kept = this.#visit && this.#answer && this.#kept();
    say(this.line, kept ? _("Written into the visit.") : "");
    this.button.hidden = !this.#answer || kept;
  }

  #put() {
    const { inputs, result, shown, title } = this.#answer;
    const values = { title, inputs, answer: shown.answer, result, figures: shown.figures.map(figure) };
    write((visit) => {
      takePrice(visit, result);
      const last = found(visit.answers, this.use);
      if (last && last.id === this.#mine) {
        Object.assign(last, values, { at: store.now(last.at) });
      } else {
        const made = store.entry({ ...this.use, ...values });
        this.#mine = made.id;
        visit.answers.push(made);
      }
    });
  }

  async #offer(visit) {
    this.offer.replaceChildren();
    const offered = visit && earlier.OFFERS[this.use.calculator];
    if (!offered) return;
    const { fields } = JSON.parse(this.element.querySelector(".calc-data").textContent);
    const all = await store.all().catch(() => []);
    const rows = offered.rows(earlier.before(all, visit), fields.properties.readings.items.properties);
    if (!rows) return;
    const words = make("p", "small", offered.words({ count: rows.rows.length, day: day(rows.when) }));
    const button = make("button", "button", _("Put these readings in"));
    button.type = "button";
    button.addEventListener("click", () => {
      this.element.dispatchEvent(new CustomEvent("fill", { detail: { list: offered.list, rows: rows.rows, more: offered.more } }));
    });
    this.offer.replaceChildren(words, button);
  }
}

function figure({ name, title, value, unit, range }) {
  const text = [value, unit].filter(Boolean).join(" ");
  return { name, title, text: range ? _("{text} ({range})", { text, range }) : text };
}

/** The price of a priced repair becomes the visit's, unless one was typed by hand. */
function takePrice(visit, result) {
  const price = priced(result);
  if (!price) return;
  const earlier = visit.answers.map((one) => priced(one.result));
  if (!visit.price || earlier.includes(visit.price)) visit.price = price;
}

/** What the customer is charged in all, "123.45 EUR"; "" for an answer to another question. */
function priced({ calculator, figures }) {
  return calculator === "parts-cost" && figures?.gross ? `${figures.gross.value} ${figures.gross.unit}` : "";
}
