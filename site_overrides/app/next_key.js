// The answers to the next key are worked out before it comes: they are shown with the key itself then.
import { painted } from "./drawn.js";
import { python } from "./python.js";

/** Milliseconds after an answer's frame in which it reaches the screen: what may be asked next is worked out then. */
const AFTER = 15;

export class NextKey {
  #turn = 0;
  #known = null; // {box, changes, asked}: what the next key in a box may make of the form, by the text in that box

  /** `form`: a Form; `request`: makes the request for the answer to inputs. */
  constructor(form, request) {
    this.form = form;
    this.request = request;
  }

  /** Have the answers to the next key in `box` at hand, unless another key or question comes first. */
  async foresee(box) {
    const turn = ++this.#turn;
    await painted(AFTER); // the answer to the last key first
    if (turn !== this.#turn || box !== document.activeElement || !this.form.form.contains(box)) return;
    const texts = oneKeyOn(box);
    const all = this.form.inputsWith(box.name, texts).map((inputs) => ({ inputs, request: this.request(inputs) }));
    this.#known = { box, changes: this.form.changes, asked: new Map(texts.map((text, at) => [text, all[at]])) };
    python.foresee(all.map(({ request }) => request));
  }

  /** The reader typed in `box`: what was known of another one holds no longer. */
  typed(box) {
    if (box !== this.#known?.box) this.#known = null;
  }

  /** What the form asks now: {inputs, request}. Nothing is foreseen until its answer is there. */
  asked() {
    this.#turn += 1;
    const known = this.#known;
    const foreseen = known?.changes === this.form.changes && known.asked.get(known.box.value);
    if (foreseen) return foreseen;
    const inputs = this.form.inputs();
    return { inputs, request: this.request(inputs) };
  }
}

/** What one more key may make of the text in a box: a digit, a decimal sign where there is none, or the taking back of one. */
function oneKeyOn(box) {
  if (box.type !== "text") return [];
  const { value, selectionStart: from, selectionEnd: to } = box;
  const [before, after] = [value.slice(0, from), value.slice(to)];
  const back = from === to ? before.slice(0, -1) : before;
  const keys = /[.,]/.test(before + after) ? "0123456789" : "0123456789.,";
  return [...[...keys].map((key) => before + key + after), back + after];
}
