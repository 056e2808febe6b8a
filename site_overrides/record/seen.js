// A page of what is seen, opened during a visit: it is written down as seen.
import { found, onVisit, write } from "./open.js";
import { entry } from "./store.js";

/** Mount a `[data-path="SYMPTOM"]`, on a page whose heading says what is seen. */
export function mount(element) {
  const title = document.querySelector("h1").textContent.trim();
  let opened = true; // a visit begun while the page stands open has not opened it
  onVisit((visit) => {
    const symptom = element.dataset.path;
    if (opened && visit && !found(visit.seen, { symptom })) write(({ seen }) => { seen.push(entry({ symptom, title })); });
    opened = false;
  });
}
