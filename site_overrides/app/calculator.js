// A calculator in the page: its form is answered by Python as it is typed; nothing typed is ever lost.
import { base, keep, recall, say } from "./site.js";
import { _ } from "./words.js";
import { Form, flat } from "./form.js";
import { NextKey } from "./next_key.js";
import { python } from "./python.js";
import { render } from "./answer.js";
import { chosen, onChange } from "./machine.js";
import { alone } from "./lone.js";
import { Refused } from "./refused.js";
import { pen } from "./pen.js";

/** Milliseconds after the last key before it is said that a number is refused, which may not be whole yet, or that it takes long. */
const PAUSE = 250;

/** Milliseconds after Python's start in which it is left alone: its program is still being translated on every core. */
const SETTLED = 200;

/** Mount a `section.calc`; see macros/pages/templates for its markup. */
export function mount(element) {
  new Calculator(element).open();
}

class Calculator {
  #timer = 0;
  #asking = false;
  #again = false;
  #warmed = false;
  #late = false; // whether the answer takes long
  #key = 0; // when the reader's last key was
  #telling = 0;

  constructor(element) {
    this.element = element;
    this.data = JSON.parse(element.querySelector(".calc-data").textContent);
    this.form = new Form(element.querySelector("form"), this.data.fields);
    this.next = new NextKey(this.form, (inputs) => this.#request(inputs));
    this.answer = element.querySelector(".answer");
    this.refused = new Refused(this.form, element.dataset.use || this.data.id);
    this.status = element.querySelector(".calc-state");
    this.key = `calculator:${element.dataset.use || this.data.id}`;
    // As the build does it: the second time that a calculator stands on a page, its picture's ids end in -2.
    const same = [...document.querySelectorAll(`[data-calculator="${CSS.escape(this.data.id)}"]`)].indexOf(element);
    this.suffix = same > 0 ? `-${same + 1}` : "";
    this.typed = false; // since the page was opened
    this.touched = new Set(); // paths that the reader typed, lists that the reader changed
    this.cleared = false;
    this.outcome = "worked"; // what stands in the answer: worked, answered, refused
    this.trouble = null;
  }

  open() {
    const kept = recall(this.key);
    const early = this.form.edited(); // typed while this script was still on its way
    for (const name of this.form.lists()) this.form.setRows(name, this.form.rows(name));
    if (kept) {
      this.touched = new Set(kept.touched);
      this.cleared = kept.cleared;
      this.form.restore(kept);
    }
    for (const [path, value] of early) {
      this.form.set(path, value);
      this.#touch(path);
    }
    if (early.length) this.#keep();
    this.fillMachine(chosen());
    const form = this.form.form;
    form.addEventListener("input", (event) => this.#typed(event.target));
    form.addEventListener("change", (event) => this.#typed(event.target));
    form.addEventListener("focusin", ({ target }) => this.next.foresee(target));
    alone(form);
    pen(form, () => this.#keep()); // after the answer: the disk would take from its time
    form.addEventListener("submit", (event) => { event.preventDefault(); this.#ask(); });
    this.element.addEventListener("click", (event) => this.#pressed(event.target.closest("button")));
    this.element.addEventListener("fill", ({ detail }) => this.#fillRows(detail));
    onChange((machine) => { this.fillMachine(machine); if (this.touched.size) { this.#keep(); this.#soon(0); } });
    python.addEventListener("change", () => { this.#tell(); this.#warm(); });
    python.start();
    this.#warm();
    if (this.touched.size) this.#soon(0);
    this.#clearButton();
    this.#tell();
  }

  /** The worked example for the machine in use: {inputs, shown}. */
  worked(machine = chosen()) {
    const all = this.data.worked || {};
    const own = all[machine];
    // Figures that were fetched have no answer of the build's beside them, and without Python none at all.
    if (own && (own.shown || !(python.trouble || this.trouble))) return own;
    return Object.values(all)[0] || { inputs: this.data.example };
  }

  /**
   * Of many machines the page holds the figures of one; those of another are fetched, and Python answers for them. A machine that is
   * not in this edition has none: the example stays.
   */
  async #fetchFigures(machine) {
    if (!this.data.many || !machine || machine in this.data.worked) return;
    const answer = await fetch(`${base}machines/${machine}/figures.json`).catch(() => null);
    if (!answer?.ok || machine in this.data.worked) return;
    const fills = (await answer.json())[this.data.id] || {};
    this.data.fills[machine] = fills;
    this.data.worked[machine] = { inputs: { ...this.data.example, ...fills, ...this.data.given } };
    if (machine !== chosen()) return;
    this.fillMachine(machine);
    this.#soon(0);
  }

  /** Fill what the reader has not typed with the figures of a machine. */
  fillMachine(machine) {
    this.#fetchFigures(machine);
    const worked = this.worked(machine);
    if (!this.touched.size) {
      this.form.fill(worked.inputs);
      this.#showWorked();
      return;
    }
    const source = this.cleared ? this.data.fills?.[machine] || {} : worked.inputs;
    for (const name of this.form.lists()) {
      if (!this.touched.has(name) && Array.isArray(source[name])) this.form.setRows(name, source[name].length);
    }
    for (const [path, value] of flat(source)) {
      if (!this.touched.has(path) && !this.touched.has(path.split("/")[0])) this.form.setInput(path, value);
    }
  }

  #showWorked() {
    const { shown } = this.worked();
    if (shown) render(this.answer, shown);
    else this.answer.replaceChildren(); // the one that stands there is another machine's
    this.outcome = "worked";
    this.#tellAnswer(null);
    this.refused.show([]);
    // The delivered answer is in the delivered units; others need Python.
    if (!this.cleared && !this.form.asDelivered()) this.#soon(0);
  }

  // ---- the reader's hands ----

  #typed(box) {
    if (!box.name) return;
    if (box.name.startsWith("unit:")) {
      this.form.switchUnits();
      this.#keep();
      this.#soon(0);
      return;
    }
    this.#key = performance.now();
    this.next.typed(box);
    this.#touch(box.name);
    this.#ask();
    this.#clearButton();
    this.#tell();
  }

  #touch(path) {
    this.typed = true;
    this.touched.add(path);
    // A list typed in is the reader's own as a whole: another machine's readings must not mix in.
    if (path.includes("/")) this.touched.add(path.split("/")[0]);
  }

  #pressed(button) {
    if (!button) return;
    const { add, remove, clearExample } = button.dataset;
    if (add !== undefined) this.#rows(add, this.form.rows(add) + 1);
    else if (remove !== undefined) this.#removeRow(button);
    else if (clearExample !== undefined) this.#clearOrShow();
  }

  #rows(name, count) {
    this.form.setRows(name, count);
    this.#touch(name);
    [...this.form.list(name).querySelectorAll("[data-row]")].at(-1)?.querySelector("[name]")?.focus();
    this.#keep();
    this.#clearButton();
  }

  #removeRow(button) {
    const row = button.closest("[data-row]");
    const list = button.closest("[data-list]");
    const index = [...list.querySelectorAll("[data-row]")].indexOf(row);
    const name = list.dataset.list;
    this.form.removeRow(name, index);
    this.#touch(name);
    const rows = list.querySelectorAll("[data-row]");
    (rows[Math.min(index, rows.length - 1)]?.querySelector("[name]") || list.querySelector("button"))?.focus();
    this.#keep();
    this.#soon(0);
    this.#clearButton();
  }

  /**
   * Put `rows` into the list `list`, in the units that they are written in. `more`: before the rows of one's own, with an
   * empty one at the end; else in their place.
   */
  #fillRows({ list, rows, more }) {
    const own = more && this.touched.has(list) ? this.form.inputs()[list] : [];
    const text = JSON.stringify;
    const most = this.form.field(list).maxItems - (more ? 1 : 0);
    const all = [...rows, ...own.filter((row) => !rows.some((one) => text(one) === text(row)))].slice(-most);
    for (const name of new Set(all.flatMap(Object.keys))) {
      this.form.chooseUnitOf(`${list}/0/${name}`, all.filter((row) => name in row).map((row) => row[name]));
    }
    this.form.setRows(list, all.length + (more ? 1 : 0));
    // A row that stood there before keeps nothing of its own: what is not given is empty.
    for (const path of this.form.boxes().keys()) {
      const [name, index, inner] = path.split("/");
      if (name === list) this.form.setInput(path, all[index]?.[inner] ?? this.form.field(path).default ?? "");
    }
    this.touched.add(list); // and not `typed`: nothing of it was read now
    this.#keep();
    this.#soon(0);
    this.#clearButton();
  }

  #clearOrShow() {
    if (this.touched.size) {
      this.touched.clear();
      this.cleared = false;
      keep(this.key, null);
      this.fillMachine(chosen());
    } else {
      this.#clear();
    }
    this.#clearButton();
    this.#tell();
  }

  #clear() {
    const fills = this.data.fills?.[chosen()] || {};
    for (const name of this.form.lists()) {
      if (name in fills) continue;
      this.form.setRows(name, 1);
      this.touched.add(name);
    }
    for (const path of this.form.boxes().keys()) {
      if (path.split("/")[0] in fills) continue;
      this.touched.add(path);
      this.form.setInput(path, this.form.field(path)?.default ?? "");
    }
    this.cleared = true;
    this.outcome = "empty";
    this.answer.replaceChildren();
    this.#tellAnswer(null);
    this.refused.show([]);
    this.#keep();
  }

  #clearButton() {
    const button = this.element.querySelector("[data-clear-example]");
    if (!button) return;
    button.hidden = false;
    say(button, this.touched.size ? _("Show the example again") : _("Clear the example"));
  }

  #keep() {
    keep(this.key, { ...this.form.state(), touched: [...this.touched], cleared: this.cleared });
  }

  // ---- asking ----

  #soon(pause) {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), pause);
  }

  #request(inputs) {
    return JSON.stringify({ id: this.data.id, inputs, units: this.form.units });
  }

  /**
   * Once Python runs, what stands in the form is gone through before anybody asks, so that the first key has its answer soon.
   */
  #warm() {
    if (this.#warmed || python.state !== "ready") return;
    this.#warmed = true;
    setTimeout(() => python.warm(this.#request(this.form.inputs())), SETTLED);
  }

  async #ask() {
    clearTimeout(this.#timer);
    if (this.#asking) {
      this.#again = true;
      return;
    }
    this.#asking = true;
    const late = setTimeout(() => { this.#late = true; this.#tell(); }, PAUSE);
    const own = this.touched.size > 0;
    try {
      const { inputs, request } = this.next.asked();
      const text = await python.ask(request);
      this.trouble = null;
      if (!this.#again && own === this.touched.size > 0) {
        const reply = JSON.parse(text);
        const shown = { ...reply.result, ...reply.shown }; // what is shown as it stands in the result is sent once
        const show = () => this.#answered(reply.result, shown, inputs, own);
        // A number that is not whole yet is not refused at once.
        if ("refused" in shown && this.#rest()) this.#timer = setTimeout(() => { show(); this.#tell(); }, this.#rest());
        else show();
      }
    } catch (trouble) {
      this.trouble = trouble;
      if (trouble.why === undefined) throw trouble;
      // An answer to other values must not stand beside these.
      if (!own) this.fillMachine(chosen());
      else if (this.outcome !== "worked") this.#showExample();
    } finally {
      clearTimeout(late);
      this.#asking = this.#late = false;
      this.#tell();
    }
    if (this.#again) {
      this.#again = false;
      this.#ask();
    } else {
      this.next.foresee(document.activeElement);
    }
  }

  /** Milliseconds until the reader has paused. */
  #rest() {
    return Math.max(0, PAUSE - (performance.now() - this.#key));
  }

  #showExample() {
    const { shown } = this.worked();
    if (shown) render(this.answer, shown);
    this.outcome = "worked";
    this.#tellAnswer(null);
  }

  #answered(result, shown, inputs, own) {
    render(this.answer, shown, this.suffix);
    this.outcome = "refused" in shown ? "refused" : own ? "answered" : "worked";
    // In a form that was just cleared, what is still to be typed is said in the answer's place alone.
    this.refused.show((shown.refused || []).filter(({ field }) => !this.cleared || this.form.value(field) !== ""));
    const { typed, data } = this;
    this.#tellAnswer(this.outcome === "answered" ? { inputs, result, shown, typed, title: data.fields.title } : null);
  }

  /** Tell whoever listens on the element which answer to the reader's own values stands in it, once they pause; null for none. */
  #tellAnswer(detail) {
    clearTimeout(this.#telling);
    const tell = () => this.element.dispatchEvent(new CustomEvent("answered", { detail }));
    if (detail && this.#rest()) this.#telling = setTimeout(tell, this.#rest());
    else tell();
  }

  // ---- saying how it stands ----

  #tell() {
    // An answer that comes at once is not announced before.
    if (!this.#asking || this.#late || python.state !== "ready") say(this.status, this.#sentence());
    this.answer.toggleAttribute("aria-busy", this.#late);
    this.element.dataset.python = python.state;
    this.element.dataset.outcome = this.outcome;
  }

  #sentence() {
    const own = this.touched.size > 0;
    const trouble = python.trouble || this.trouble;
    if (trouble) {
      return own
        ? _("{trouble} What you typed is kept; the answer shown is the worked example's, not yours.", { trouble: trouble.message })
        : _("{trouble} The worked example, the formulas and the table of results hold without it.", { trouble: trouble.message });
    }
    if (python.state !== "ready") {
      const at = python.progress || { done: 0, total: 6 };
      return own
        ? _("Python is starting ({done} of {total} files). Your values are kept and answered as soon as it runs; the answer shown is still the worked example's.", at)
        : _("Worked example. Type your own values over it.");
    }
    if (!own) return _("Worked example. Type your own values over it.");
    if (this.outcome === "refused") return _("Not calculated: under the fields it says what they take. Nothing you typed is lost.");
    if (this.outcome === "empty") return _("Type your own values.");
    if (this.#late || this.outcome === "worked") return _("Calculating. The answer shown is still the worked example's.");
    return _("The answer to your values.");
  }
}
