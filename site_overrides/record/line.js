// On every page: that a visit is open, which, and the way to it; and when something could not be written into it.
import { chosen, onChange } from "../app/machine.js";
import { say } from "../app/site.js";
import { _ } from "../app/words.js";
import { onVisit } from "./open.js";
import { machine } from "./shown.js";

/** Mount the link `[data-visit-line]` or the line `[data-visit-trouble]` of the running head. */
export function mount(element) {
  if ("visitTrouble" in element.dataset) {
    onVisit((_visit, trouble) => say(element, trouble));
    return;
  }
  let visit = null;
  function show() {
    element.hidden = !visit;
    say(element, visit ? sentence(visit) : "");
  }
  onVisit((open) => { visit = open; show(); });
  onChange(show);
}

function sentence({ machine: { id, title, serial }, customer }) {
  // The chosen machine stands in the head already.
  const which = id === chosen() ? serial && _("no. {serial}", { serial }) : machine({ title, serial });
  const words = [which, customer].filter(Boolean).join(", ");
  return words ? _("Visit open: {which}", { which: words }) : _("Visit open");
}
