// The choice of a part: from a list, or, of more than a list is good for, by typing a piece of its name or number.
import { make, say } from "../app/site.js";
import { _ } from "../app/words.js";

export class PartChoice {
  #parts = {};

  /** `box`: a `select`, or an `input` with a `datalist`. */
  constructor(box) {
    this.box = box;
    this.why = box.closest(".entry").querySelector(".why");
    box.addEventListener("input", () => this.#refuse(""));
  }

  /** Offer `parts` ({id: {title, number}}), those of the set `fitted` first. */
  offer(parts, fitted) {
    this.#parts = parts;
    const ids = [[...fitted].filter((id) => id in parts), Object.keys(parts).filter((id) => !fitted.has(id))];
    const options = ids.map((some) => some.map((id) => new Option(said(parts[id]), id)));
    if (this.box.list) {
      this.box.list.replaceChildren(...options.flat().map(({ text }) => Object.assign(make("option"), { value: text })));
      return;
    }
    this.box.replaceChildren(...[_("Fitted to this machine"), _("Others")].map((label, at) => {
      const group = Object.assign(make("optgroup"), { label });
      group.append(...options[at]);
      return group;
    }).filter((group) => group.children.length));
  }

  /** The id of the part chosen; null where what was typed is none of them, which is said. */
  chosen() {
    if (!this.box.list) return this.box.value || null;
    const typed = folded(this.box.value);
    const named = (part) => [said(part), part.title, part.number].some((one) => folded(one) === typed);
    const found = Object.entries(this.#parts).filter(([, part]) => named(part));
    this.#refuse(found.length === 1 ? "" : _("Type a piece of the part’s name or number, and choose one of those offered."));
    if (found.length !== 1) return null;
    this.box.value = ""; // for the next one
    return found[0][0];
  }

  #refuse(words) {
    if (!this.why) return;
    say(this.why, words);
    if (words) this.box.setAttribute("aria-invalid", "true");
    else this.box.removeAttribute("aria-invalid");
  }
}

/** As a gloved hand may type it: capitals or not, spaces around it. */
const folded = (text) => text.trim().toLowerCase();
const said = ({ title, number }) => _("{part}, {number}", { part: title, number });
