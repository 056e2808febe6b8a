// Search over the handbook's pages, loaded when the field is first touched. Hits are text, never markup.
import { base, make, say } from "./site.js";
import { _ } from "./words.js";

const MOST = 20;

/** Mount an element `[data-find]` with a search field, `[data-found]` (a list) and `[data-found-state]`. */
export function mount(element) {
  const field = element.querySelector("input[type=search]");
  const list = element.querySelector("[data-found]");
  const status = element.querySelector("[data-found-state]");
  let index = null;

  async function find() {
    const words = field.value.trim();
    if (!words) {
      list.replaceChildren();
      say(status, "");
      return;
    }
    try {
      index ??= load();
      const hits = search(await index, words);
      if (field.value.trim() !== words) return;
      list.replaceChildren(...hits.map(item));
      say(status, hits.length
        ? _("Pages found: {count}.", { count: hits.length })
        : _("Nothing found for {words}. Try one word of it, or say it another way.", { words }));
    } catch {
      index = null;
      say(status, _("The search could not be loaded. Its files come with the saved handbook."));
    }
  }

  field.addEventListener("focus", () => { index ??= load().catch(() => { index = null; }); }, { once: true });
  field.addEventListener("input", find);
  field.form?.addEventListener("submit", (event) => {
    event.preventDefault();
    find();
  });
  const asked = new URLSearchParams(location.search).get("q");
  if (asked) field.value = asked;
  if (field.value) find();
}

/** "E-07", "E07" and "E 07" are one word; BC1010 is not BC1011. */
function process(word) {
  return word.toLowerCase().normalize("NFKD").replace(/\p{M}/gu, "");
}

function tokens(text) {
  const joined = text.replace(/\b(\p{L}{1,3})[- ](\d+)\b/gu, "$1$2");
  return joined.split(/[^\p{L}\p{N}]+/u).filter(Boolean);
}

async function load() {
  const [{ default: MiniSearch }, response] = await Promise.all([import("./minisearch.js"), fetch(new URL("find.json", base))]);
  const { documents } = await response.json();
  const index = new MiniSearch({ fields: ["title", "codes", "text"], storeFields: ["url", "title", "kind"], idField: "url",
    tokenize: tokens, processTerm: process,
    searchOptions: { boost: { title: 4, codes: 4 }, combineWith: "AND" } });
  index.addAll(documents);
  return index;
}

/** The best hits for the words typed; all words are wanted first, any of them when no page has all. */
export function search(index, words) {
  const numbered = (term) => /\d/.test(term);
  const options = { prefix: (term) => !numbered(term), fuzzy: (term) => (numbered(term) || term.length < 4 ? false : term.length < 7 ? 1 : 2) };
  const all = index.search(words, options);
  return (all.length ? all : index.search(words, { ...options, combineWith: "OR" })).slice(0, MOST);
}

function item({ url, title, kind }) {
  const link = make("a");
  link.href = new URL(url, base).href;
  link.append(make("b", "", title));
  if (kind) link.append(" ", make("span", "", kind));
  const entry = make("li");
  entry.append(link);
  return entry;
}
