// The page of a visit: begun here, its texts written as they are typed, what came in from other pages shown, and ended.
import { keep, keys, link, make, say } from "../app/site.js";
import { choose, chosen } from "../app/machine.js";
import { _, day } from "../app/words.js";
import { before, plain } from "./earlier.js";
import { known } from "./known.js";
import { List, LISTS, mark } from "./lists.js";
import { attempt, onVisit } from "./open.js";
import { PartChoice } from "./part.js";
import { pen } from "../app/pen.js";
import { take } from "./photograph.js";
import { counted, machine, meter } from "./shown.js";
import * as store from "./store.js";
import { trends } from "./trend.js";
import * as unread from "./unread.js";

/** What is kept of earlier work on other pages: ticks, values typed, paths followed. */
const WORK = ["ticks:", "calculator:", "path:", "open:", "wait:"];

/** Mount the element `[data-visit]` (macros/pages/templates/visit.html). */
export function mount(element) {
  new Visit(element).open();
}

/** The boxes for a number. */
const NUMBERS = ["machine.hours", "minutes"];

class Visit {
  #asked = new URLSearchParams(location.search).get("visit"); // the visit that the address names; null: the open one
  #visit = null; // the visit shown
  #shown = ""; // the visit whose earlier ones are shown
  #begun = false; // it was begun here just now, and nothing of it is shown yet

  constructor(element) {
    this.element = element;
    this.data = JSON.parse(element.querySelector(".visit-data").textContent);
    this.parts = Object.fromEntries([...element.querySelectorAll("[data-part]")].map((part) => [part.dataset.part, part]));
    this.state = element.querySelector(".visit-state");
    this.trouble = element.querySelector("[data-trouble]");
    this.acts = element.querySelector("[data-acts]");
    this.lists = LISTS.map((list) => new List(element.querySelector(`[data-of="${list.name}"]`), list));
    this.boxes = [...element.querySelectorAll("[data-name]")].map((box) => ({ box, name: box.dataset.name,
      waits: pen(box, () => this.#write(box)) }));
    this.part = new PartChoice(element.querySelector("#visit-part"));
  }

  async open() {
    const named = this.#named();
    this.element.querySelector("[data-begin]").addEventListener("click", () => this.#begin({ machine: { id: chosen() } }));
    this.element.querySelector("[data-add-part]").addEventListener("click", () => this.#addPart());
    this.element.querySelector("[data-photograph]").addEventListener("change", ({ target }) => this.#photographs(target));
    try {
      await store.open();
      await named;
    } catch (refusal) {
      this.state.hidden = true;
      say(this.trouble, refusal.message);
      return;
    }
    await onVisit((open, trouble) => this.#look(open, trouble));
  }

  /** Machines and parts: those of the page, else fetched; the machines are put into their box then. */
  async #named() {
    if (!this.data.machines) {
      Object.assign(this.data, { machines: {}, parts: {} }, await known());
      const options = Object.entries(this.data.machines).map(([id, { title }]) => new Option(title, id));
      this.element.querySelector("#visit-machine").replaceChildren(...options);
    }
    this.#parts();
  }

  // ---- what is shown ----

  async #look(open, trouble) {
    say(this.trouble, trouble);
    this.current = open;
    const visit = this.#asked ? await store.get(this.#asked).catch(() => null) : open;
    if (open !== this.current) return; // asked anew meanwhile
    this.#visit = visit;
    this.parts.begin.hidden = Boolean(visit);
    this.parts.visit.hidden = !visit;
    if (visit) await this.#showVisit();
    else await this.#showBegin();
  }

  async #showBegin() {
    say(this.state, this.#asked ? _("This visit is not on this device.") : _("No visit is open."));
    const visits = await store.all().catch(() => []);
    this.#fillActs([visits.length && way(_("Visits on this device"), "visits/"), this.current && way(_("To the open visit"), "visit/")]);
    const fresh = this.element.querySelector("[data-fresh]");
    if (fresh.hidden) {
      fresh.hidden = !keys(WORK).length;
      // Who has visited before has it in the record; who has not may be in the middle of work.
      fresh.querySelector("input").checked = visits.length > 0;
    }
    const known = new Map();
    for (const visit of visits) {
      const key = JSON.stringify([visit.machine.id, plain(visit.machine.serial)]);
      if (visit.machine.serial && this.data.machines[visit.machine.id] && !known.has(key)) known.set(key, visit);
    }
    const place = this.element.querySelector("[data-again]");
    place.hidden = !known.size;
    place.querySelector("ul").replaceChildren(...[...known.values()].map((visit) => {
      const item = make("li");
      const words = make("span", "told", [machine(visit.machine), visit.customer].filter(Boolean).join(", "));
      words.append(" ", make("span", "small", _("last on {day}", { day: day(visit.when) })));
      const { id, serial } = visit.machine;
      const go = button(_("Begin"), () => this.#begin({ machine: { id, serial }, customer: visit.customer }));
      go.setAttribute("aria-label", _("Begin a visit to {machine}", { machine: machine(visit.machine) }));
      item.append(words, go);
      return item;
    }));
  }

  async #showVisit() {
    const visit = this.#visit;
    const writes = visit.id === this.current?.id;
    this.element.classList.toggle("reads", !writes);
    this.element.querySelector("[data-fields]").hidden = !writes;
    this.element.querySelector("[data-said]").hidden = writes;
    say(this.state, sentence(visit, writes));
    this.#fillActs(writes
      ? [button(_("End the visit"), () => this.#end()), button(_("Put it aside"), () => this.#aside()), way(_("Visits on this device"), "visits/")]
      : [button(visit.ended ? _("Open it again") : _("Go on with this visit"), () => this.#goOn()),
        way(_("Job sheet for the customer"), `visits/sheet/?visit=${encodeURIComponent(visit.id)}`), way(_("Visits on this device"), "visits/"),
        way(this.current ? _("To the open visit") : _("Begin another visit"), "visit/")]);
    for (const { box, name, waits } of this.boxes) {
      if (!waits() && document.activeElement !== box) box.value = standing(visit, name);
      if (NUMBERS.includes(name)) mark(box, box.closest(".entry").querySelector(".why"), unread.unread(visit, name));
    }
    if (!writes) this.#say(visit);
    if (writes && this.#begun) this.element.querySelector("[data-name=customer]").focus();
    this.#begun = false;
    for (const list of this.lists) list.show(visit, writes);
    const key = JSON.stringify([visit.id, visit.machine.id, visit.machine.serial, visit.answers.map(({ id, at }) => [id, at])]);
    if (key === this.#shown) return;
    this.#shown = key;
    const earlier = before(await store.all().catch(() => []), visit);
    this.#earlier(earlier);
    trends(this.element.querySelector("[data-trends]"), [...earlier].reverse().concat(visit), this.data.readings);
  }

  /** The texts of a visit that is only read. */
  #say(visit) {
    const rows = this.boxes.map(({ box, name }) => [box.labels[0].textContent,
      name === "machine.id" ? visit.machine.title : name === "when" ? day(visit.when) : standing(visit, name)]);
    fillRows(this.element.querySelector("[data-said] dl"), rows.filter(([, said]) => said));
  }

  #earlier([last]) {
    const place = this.element.querySelector("[data-earlier]");
    place.hidden = !last;
    if (!last) return;
    const done = [...new Set(last.steps.filter((step) => step.done).map((step) => step.procedureTitle))];
    fillRows(place.querySelector("dl"), [
      [_("Day"), [day(last.when), last.who].filter(Boolean).join(", ")],
      [_("Hours"), meter(last)],
      [_("Seen"), last.seen.map((one) => one.title).join(", ")],
      [_("Done"), done.join(", ") || counted(last)],
      [_("Answers"), last.answers.filter(({ calculator }) => calculator !== "parts-cost").map((one) => one.answer).join(" ")],
      [_("Notes"), last.notes],
      [_("Remains"), last.remains || _("nothing was noted")],
      ["", link(_("The whole visit"), `visit/?visit=${encodeURIComponent(last.id)}`, "reach")],
    ].filter(([, said]) => said));
  }

  #fillActs(acts) {
    const wanted = acts.filter(Boolean);
    const words = (all) => all.map((one) => one.textContent).join("\n");
    if (words([...this.acts.children]) === words(wanted)) return;
    const held = this.acts.contains(document.activeElement);
    this.acts.replaceChildren(...wanted);
    if (held) wanted[0]?.focus();
  }

  #parts() {
    const { machines, parts } = this.data;
    this.part.offer(parts, new Set(machines[chosen()]?.parts ?? []));
  }

  // ---- what is done ----

  async #begin({ machine: { id, serial = "" }, customer = "" }) {
    if (this.element.querySelector("[data-fresh] input").checked) for (const key of keys(WORK)) keep(key, null);
    const [last] = await store.all().catch(() => []);
    choose(id);
    this.#parts();
    // Where the names cannot be fetched, the head has the one of the machine in use.
    const title = this.data.machines[id]?.title ?? document.querySelector("[data-machine-name]").textContent;
    const values = { machine: { id, title, serial }, customer, who: last?.who ?? "" };
    this.#begun = true;
    if (!await attempt(() => store.begin(values))) return;
    this.#asked = null;
    this.#address("");
  }

  async #end() {
    const { id } = this.#visit;
    this.#stay(id);
    await attempt(() => store.change(id, (visit) => { visit.ended = store.now(); }));
    await attempt(() => store.setCurrent(null));
  }

  async #aside() {
    this.#stay(this.#visit.id);
    await attempt(() => store.setCurrent(null));
  }

  async #goOn() {
    const { id, machine: { id: which } } = this.#visit;
    if (this.data.machines[which]) choose(which);
    this.#parts();
    await attempt(() => store.change(id, (visit) => { visit.ended = null; }));
    await attempt(() => store.setCurrent(id));
  }

  /** The address names this visit, so that it is found again when it is not the open one any more. */
  #stay(id) {
    this.#asked = id;
    this.#address(`?visit=${encodeURIComponent(id)}`);
  }

  #address(query) {
    history.replaceState(null, "", location.pathname + query);
  }

  #write(box) {
    const { name } = box.dataset;
    const value = this.#read(box, name);
    if (value === undefined || !this.#visit) return;
    if (name === "machine.id") {
      choose(value);
      this.#parts();
    }
    attempt(() => store.change(this.#visit.id, (visit) => {
      if (name === "machine.id") Object.assign(visit.machine, { id: value, title: this.data.machines[value].title });
      else if (NUMBERS.includes(name)) unread.put(visit, name, value);
      else if (name.startsWith("machine.")) visit.machine[name.slice("machine.".length)] = value;
      else visit[name] = value;
    }));
  }

  /** What stands in a box, as the visit has it; undefined where it is nothing that it could have. */
  #read(box, name) {
    const typed = box.value.trim();
    if (name === "price") return typed || null;
    if (name === "when") return typed || undefined;
    return NUMBERS.includes(name) ? unread.read(box.value) : box.value;
  }

  #addPart() {
    const id = this.part.chosen();
    if (!id) return;
    const { title, number: code } = this.data.parts[id];
    attempt(() => store.change(this.#visit.id, (visit) => {
      const there = visit.parts.find((one) => one.part === id);
      if (there) Object.assign(there, { count: there.count + 1, at: store.now(there.at) });
      else visit.parts.push(store.entry({ part: id, number: code, title, count: 1 }));
    }));
  }

  async #photographs(input) {
    const files = [...input.files];
    input.value = ""; // the same one can be chosen again
    for (const file of files) {
      const made = await take(file);
      if (made) await attempt(() => store.addPhotograph(this.#visit.id, made.blob, made.about));
      else say(this.trouble, _("{file} is no picture that this browser can read.", { file: file.name }));
    }
  }
}

function sentence(visit, writes) {
  const which = [machine(visit.machine), visit.customer].filter(Boolean).join(", ");
  if (writes) return _("{which}. Begun {moment}. Everything is kept as you type it.", { which, moment: day(visit.begun) });
  return visit.ended
    ? _("{which}. Ended {moment}.", { which, moment: day(visit.ended) })
    : _("{which}. Put aside, not ended.", { which });
}

/** What stands in the box of `name`. */
function standing(visit, name) {
  const value = name.split(".").reduce((whole, part) => whole[part], visit);
  return unread.unread(visit, name) || (value === null ? "" : String(value));
}

function fillRows(place, rows) {
  place.replaceChildren(...rows.map(([name, said]) => {
    const row = make("div");
    const words = make("dd", "as-typed");
    words.append(said);
    row.append(make("dt", "", name), words);
    return row;
  }));
}

const way = (words, path) => link(words, path, "button");

function button(words, act) {
  const made = make("button", "button", words);
  made.type = "button";
  made.addEventListener("click", act);
  return made;
}
