// A machine's own page: the visits to machines of this kind that are on this device, the newest first.
import { link, make } from "../app/site.js";
import { _, day } from "../app/words.js";
import * as store from "./store.js";

const MOST = 8;

/** Mount a section `[data-visits-of="MACHINE"]` with a `ul` in it. */
export async function mount(element) {
  const visits = (await store.all().catch(() => [])).filter(({ machine }) => machine.id === element.dataset.visitsOf);
  element.hidden = !visits.length;
  element.querySelector("ul").replaceChildren(...visits.slice(0, MOST).map((visit) => {
    const { serial } = visit.machine;
    const to = link(serial ? _("No. {serial}", { serial }) : _("Without a number"), `visit/?visit=${encodeURIComponent(visit.id)}`);
    to.append(" ", make("span", "", day(visit.when)));
    const item = make("li");
    item.append(to);
    return item;
  }));
}
