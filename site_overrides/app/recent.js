// What this device opened last.
import { here, keep, link, make, recall } from "./site.js";

const MOST = 6;

/** Mount a page to remember (`[data-remember="Title"]`) or the list of pages (`[data-recent]` with a `ul`). */
export function mount(element) {
  if ("remember" in element.dataset) remember(element.dataset.remember);
  if ("recent" in element.dataset) show(element);
}

function remember(title) {
  const others = recall("recent", []).filter(({ url }) => url !== here());
  keep("recent", [{ url: here(), title }, ...others].slice(0, MOST));
}

function show(element) {
  const pages = recall("recent", []);
  element.hidden = !pages.length;
  element.querySelector("ul").replaceChildren(...pages.map(({ url, title }) => {
    const item = make("li");
    item.append(link(title, url));
    return item;
  }));
}
