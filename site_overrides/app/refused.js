// What a form says of the fields whose values are not taken: under each, what was given and what it takes.
import { describe } from "./form.js";
import { make } from "./site.js";
import { _ } from "./words.js";

export class Refused {
  #many = 0;

  /** `form`: a Form; `name`: what sets it apart from others on the page. */
  constructor(form, name) {
    this.form = form;
    this.name = name;
  }

  /** Say it of these and of no others; each is {field, got, takes, text}. */
  show(refused) {
    if (!refused.length && !this.#many) return;
    this.#many = refused.length;
    const all = (selector) => this.form.form.querySelectorAll(selector);
    for (const why of all(".why")) why.remove();
    for (const field of all(".refused")) field.classList.remove("refused");
    for (const box of all("[aria-invalid]")) {
      box.removeAttribute("aria-invalid");
      describe(box, box.dataset.why, false);
    }
    for (const one of refused) this.#show(one);
  }

  #show({ field, got, takes, text }) {
    const place = this.#place(field);
    place.classList.add("refused");
    // In a row the columns are narrow: it is said under the whole row, and names its column.
    const row = place.closest("[data-row]");
    const why = make("p", "why", row ? text : _("{got} was given. Takes {takes}.", { got, takes }));
    why.id = `${this.name}-${field}-why`.replace(/[^\w-]/g, "-");
    (row || place).append(why);
    for (const box of this.form.boxes().get(field) || []) {
      box.setAttribute("aria-invalid", "true");
      box.dataset.why = why.id;
      describe(box, why.id, true);
    }
  }

  /** Where it is said: at its field, at its row, at its list, else at the form. */
  #place(path) {
    for (let at = path; at; at = at.split("/").slice(0, -1).join("/")) {
      const found = this.form.form.querySelector(`[data-field="${CSS.escape(at)}"], [data-list="${CSS.escape(at)}"]`);
      if (found) return found;
    }
    return this.form.form;
  }
}
