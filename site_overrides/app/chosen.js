// A machine's own page: says whether this machine is the one chosen; opened by a label's code (`?chosen`), it is chosen.
import { choose, chosen, onChange } from "./machine.js";
import { say } from "./site.js";
import { _ } from "./words.js";

/** Mount a line `[data-chooses="MACHINE"]` with a place for words and a button in it. */
export function mount(element) {
  const id = element.dataset.chooses;
  const [words, button] = [element.querySelector("p"), element.querySelector("button")];

  function show() {
    const mine = chosen() === id;
    element.hidden = false;
    say(words, mine ? _("This machine is chosen: calculators begin with its figures.") : _("Another machine is chosen."));
    button.hidden = mine;
  }

  const title = document.querySelector("h1").textContent;
  button.addEventListener("click", () => choose(id, title));
  onChange(show);
  if (new URLSearchParams(location.search).has("chosen")) {
    choose(id, title);
    // Once: who chooses another machine and comes back to this page keeps the other.
    history.replaceState(null, "", location.pathname + location.hash);
  } else {
    show();
  }
}
