// The lists of a visit in its page: what came in from other pages, parts and photographs; each entry can be taken out.
import { link, make, say } from "../app/site.js";
import { _, clock } from "../app/words.js";
import { attempt } from "./open.js";
import { pen } from "../app/pen.js";
import * as store from "./store.js";
import * as unread from "./unread.js";

/** One list in its section of the page. */
export class List {
  #shown = "";
  #visit = null;

  /** `list`: one of LISTS. */
  constructor(section, list) {
    Object.assign(this, { section, ...list });
    this.place = section.querySelector("ul");
    this.empty = section.querySelector("[data-empty]");
  }

  /** Show the entries of `visit`; `writes`: they can be changed. What is being typed in is left alone. */
  show(visit, writes) {
    this.#visit = visit;
    const entries = visit[this.name].filter(this.shows ?? (() => true));
    this.section.hidden = !writes && !entries.length;
    this.empty.hidden = entries.length > 0;
    // What is typed in a list itself changes no more than its box.
    const now = JSON.stringify([writes, entries.map((one) => [one.id, ...(this.typed ? [] : [one.at])])]);
    if (now !== this.#shown) {
      this.#shown = now;
      this.place.replaceChildren(...(this.groups ? this.groups(entries) : entries.map((one) => this.#item(one, writes))));
    }
    if (this.typed) this.#values(entries);
  }

  #item(one, writes) {
    const item = make("li");
    item.dataset.entry = one.id;
    item.append(...this.says(one, writes, this.#pen));
    if (!writes) return item;
    const out = make("button", "button", _("Take out"));
    out.type = "button";
    out.setAttribute("aria-label", _("Take out: {entry}", { entry: this.named(one) }));
    out.addEventListener("click", async () => {
      const next = item.nextElementSibling ?? item.previousElementSibling;
      await attempt(() => store.takeOut(this.#visit.id, this.name, one.id));
      this.place.querySelector(`[data-entry="${next?.dataset.entry}"] button`)?.focus();
    });
    item.append(out);
    return item;
  }

  /** Write what is typed in `box` of the entry `one`: `puts(entry, text)` changes the entry by it. */
  #pen = (box, one, puts) => {
    box.waits = pen(box, () => {
      const typed = box.value; // before an earlier change is shown, which knows nothing of it
      attempt(() => store.change(this.#visit.id, (visit) => {
        const entry = visit[this.name].find(({ id }) => id === one.id);
        if (!entry) return;
        puts(entry, typed);
        entry.at = store.now(entry.at);
      }));
    });
  };

  #values(entries) {
    for (const box of this.place.querySelectorAll(".box")) {
      const item = box.closest("[data-entry]");
      const entry = entries.find(({ id }) => id === item.dataset.entry);
      if (!entry) continue;
      if (!box.waits() && document.activeElement !== box) box.value = String(this.stands ? this.stands(entry) : entry[this.typed]);
      if (this.stands) mark(box, item.querySelector(".why"), entry.unread ?? "");
    }
  }
}

function told(...children) {
  const place = make("div", "told");
  place.append(...children);
  return place;
}

/** A box for a number, marked when what stands in it is none, and why beside it. */
export function mark(box, line, typed) {
  box.setAttribute("aria-invalid", String(Boolean(typed)));
  say(line, unread.why(typed));
}

/** A box with its label for the entry `one`. */
function labelled(words, kind, mode) {
  const label = make("label", "told");
  const box = make(kind, "box");
  if (mode) box.inputMode = mode;
  label.append(make("span", "small", words), box);
  return { label, box };
}

/**
 * name: the visit's list; says(entry, writes, pen) -> what stands in its line; named(entry): in a few words; shows(entry):
 * whether it is listed; typed: the field that is typed in the list; stands(entry): what stands there of a number; groups(entries) -> lines of several together.
 */
export const LISTS = [
  {
    name: "seen",
    named: ({ title }) => title,
    says: ({ symptom, title, at }) => [told(link(title, `seen/${symptom}/`), make("span", "small", clock(at)))],
  },
  {
    name: "steps",
    shows: ({ done }) => done,
    groups(entries) {
      const procedures = grouped(entries);
      return [...procedures].map(([procedure, steps]) => {
        const item = make("li");
        const fold = make("details", "fold");
        const summary = make("summary", "", _("{procedure}: steps done {count}", { procedure: steps[0].procedureTitle, count: steps.length }));
        const list = make("ul", "notes");
        list.append(...steps.map(({ title, at }) => {
          const line = make("li", "", title);
          line.append(" ", make("span", "", clock(at)));
          return line;
        }));
        const held = make("div");
        held.append(list, link(_("To the procedure"), `procedures/${procedure}/`, "reach"));
        fold.append(summary, held);
        item.append(fold);
        return item;
      });
    },
  },
  {
    name: "answers",
    named: ({ title }) => title,
    says: ({ title, answer, at, calculator, procedure, step }) => [told(
      link(title, procedure ? `procedures/${procedure}/#calc-${procedure}-${step}` : `calculators/${calculator}/`),
      make("p", "", answer), make("span", "small", clock(at)))],
  },
  {
    name: "parts",
    typed: "count",
    stands: unread.count,
    named: ({ title }) => title,
    says(one, writes, pens) {
      const words = told(one.part ? link(one.title, `parts/${one.part}/`) : one.title, make("span", "small", one.number));
      if (!writes) return [words, make("b", "", String(unread.count(one)))];
      const { label, box } = labelled(_("Count"), "input", "decimal");
      box.setAttribute("aria-label", _("Count of {part}", { part: one.title }));
      const why = make("p", "why");
      Object.assign(why, { id: `why-${one.id}`, role: "status" });
      box.setAttribute("aria-describedby", why.id);
      pens(box, one, (entry, text) => {
        const { value, unread: typed } = unread.read(text);
        delete entry.unread;
        if (value !== null) entry.count = value;
        else if (typed) entry.unread = typed;
      });
      label.className = "count";
      return [words, label, why];
    },
  },
  {
    name: "remarks",
    named: ({ title }) => title,
    shows: ({ text }) => text.trim() !== "",
    says: ({ procedure, procedureTitle, step, title, text }) => [told(
      link(_("{procedure}: {step}", { procedure: procedureTitle, step: title }), `procedures/${procedure}/#step-${step}`),
      make("p", "as-typed", text))],
  },
  {
    name: "photographs",
    typed: "about",
    named: ({ about, at }) => about || _("photograph of {time}", { time: clock(at) }),
    says(one, writes, pens) {
      const picture = make("img");
      picture.alt = one.about || _("Photograph of {time}", { time: clock(one.at) });
      if (one.width) Object.assign(picture, { width: one.width, height: one.height });
      store.photograph(one.id).then((blob) => { if (blob) picture.src = URL.createObjectURL(blob); }, () => {});
      if (!writes) return [told(picture, make("p", "", one.about))];
      const { label, box } = labelled(_("What it shows"), "input");
      pens(box, one, (entry, text) => { entry.about = text; });
      return [told(picture, label)];
    },
  },
];

function grouped(entries) {
  const groups = new Map();
  for (const one of entries) groups.set(one.procedure, [...groups.get(one.procedure) ?? [], one]);
  return groups;
}
