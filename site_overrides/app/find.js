// Search as one types: what kind of thing each hit is, where on its page the words stand. Hits are text, never markup.
import { finder } from "../search/finder.js";
import { base, make, say } from "./site.js";
import { _ } from "./words.js";

const MOST = 10;

/** Mount an element `[data-find]` with a search field, `[data-found]` (a list) and `[data-found-state]`. */
export function mount(element) {
  const field = element.querySelector("input[type=search]");
  const list = element.querySelector("[data-found]");
  const status = element.querySelector("[data-found-state]");

  async function find() {
    const words = field.value.trim();
    if (words.length < 2) {
      list.replaceChildren();
      say(status, "");
      return;
    }
    try {
      const hits = await finder.find(words, MOST);
      if (!hits || field.value.trim() !== words) return;
      list.replaceChildren(...hits.map(item));
      bring(element, list.firstChild);
      say(status, hits.length === MOST ? _("The {count} that fit best.", { count: MOST })
        : hits.length ? _("Pages found: {count}.", { count: hits.length })
        : _("Nothing found for {words}. Try one word of it, or say it another way.", { words }));
    } catch {
      say(status, _("The search could not be loaded. Its files come with the saved handbook."));
    }
  }

  field.addEventListener("focus", () => finder.open().catch(() => { /* said when something is asked */ }), { once: true });
  field.addEventListener("input", find);
  field.form?.addEventListener("submit", (event) => {
    event.preventDefault();
    find();
  });
  const asked = new URLSearchParams(location.search).get("q");
  if (asked) field.value = asked;
  if (field.value) find();
}

/** Where a hit lies under the foot of what is seen, the field goes to the top of it, so that hits are seen as one types. */
function bring(element, first) {
  const bar = document.querySelector(".bar")?.offsetHeight ?? 0;
  const room = (window.visualViewport?.height ?? window.innerHeight) - bar;
  if (!first || first.getBoundingClientRect().bottom <= room) return;
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  element.scrollIntoView({ block: "start", behavior: still ? "instant" : "smooth" });
}

function item({ url, kind, title, lead, head, text }) {
  const link = make("a");
  link.href = new URL(url, base).href;
  const named = make("span", "named");
  const name = make("b");
  name.append(...marked(title));
  named.append(name, " ", make("span", "", kind));
  link.append(named);
  if (lead || head.length) {
    const place = make("span", "place");
    place.append(lead, ...(lead && head.length ? [": "] : []), ...marked(head));
    link.append(" ", place);
  }
  if (text.length) {
    const excerpt = make("span", "excerpt");
    excerpt.append(...marked(text));
    link.append(" ", excerpt);
  }
  const entry = make("li");
  entry.append(link);
  return entry;
}

/** Pieces of text, those that were asked for marked. */
function marked(pieces) {
  return pieces.map(([words, asked]) => (asked ? make("mark", "", words) : words));
}
