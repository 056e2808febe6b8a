// A procedure worked during a visit: its ticks are written into the visit, and each step takes a remark for the author.
import { make } from "../app/site.js";
import { _ } from "../app/words.js";
import { found, onVisit, put, write } from "./open.js";
import { pen } from "../app/pen.js";
import { takeOut } from "./store.js";

/** Mount an element `[data-ticks="PROCEDURE"]` with `.step` in it. */
export function mount(element) {
  const procedure = { procedure: element.dataset.ticks, procedureTitle: document.querySelector("h1").textContent.trim() };
  const steps = [...element.querySelectorAll(".step")].map((section) => ({ section, about: {
    ...procedure, step: section.querySelector(".tick").dataset.step, title: section.querySelector(".name").textContent.trim() } }));

  // Ticks that are all taken off together are cleared for the next work: what was done stays done.
  element.addEventListener("change", ({ target }) => {
    if (!target.matches(".tick[data-step]")) return;
    const { about } = steps.find(({ section }) => section.contains(target));
    const done = target.checked;
    write((visit) => { put(visit.steps, key(about), { ...about, done }); });
  });

  let remarks = null;
  onVisit((visit) => {
    if (visit) remarks ??= steps.map(({ section, about }, index) => new Remark(section, about, index + 1));
    for (const one of remarks ?? []) one.show(visit);
  });
}

const key = ({ procedure, step }) => ({ procedure, step });

/** The remark on one step. */
class Remark {
  constructor(section, about, number) {
    this.about = about;
    this.place = make("div", "remark screen-only");
    this.button = make("button", "button", _("Write a remark on this step"));
    this.button.type = "button";
    this.button.setAttribute("aria-label", _("Write a remark on this step, {number}", { number }));
    this.held = make("label", "told");
    this.box = make("textarea", "box");
    this.box.rows = 2;
    this.held.append(make("span", "", _("Remark on step {number}", { number })), this.box);
    this.place.append(this.button, this.held);
    section.querySelector(".step-body").append(this.place);
    this.button.addEventListener("click", () => { this.#open(true); this.box.focus(); });
    this.waits = pen(this.box, () => this.#save());
    this.box.addEventListener("blur", () => { if (!this.box.value.trim()) this.#drop(); });
  }

  show(visit) {
    this.place.hidden = !visit;
    this.visit = visit;
    const kept = visit && found(visit.remarks, key(this.about));
    if (this.waits() || document.activeElement === this.box) return;
    this.box.value = kept?.text ?? "";
    this.#open(Boolean(kept));
  }

  #open(open) {
    this.held.hidden = !open;
    this.button.hidden = open;
  }

  #save() {
    const text = this.box.value;
    write((visit) => {
      if (text.trim() || found(visit.remarks, key(this.about))) put(visit.remarks, key(this.about), { ...this.about, text });
    });
  }

  async #drop() {
    this.#open(false);
    const kept = this.visit && found(this.visit.remarks, key(this.about));
    if (kept) await takeOut(this.visit.id, "remarks", kept.id);
  }
}
