// The search itself, free of page and worker: the text of index.json in, hits for typed words out.
import MiniSearch from "./minisearch.js";
import { FIELDS, OPTIONS, numbered, plain, spans, terms } from "./terms.js";
import { Synonyms } from "./synonyms.js";
import { place } from "./places.js";

/** Asked by terms, not by text: each goes to the index just as it is. */
const AS_IT_IS = { tokenize: (term) => [term], processTerm: (term) => term, boost: FIELDS, combineWith: "OR" };
/** A part of a word, or of a number, finds what begins with it from so many letters on. */
const [BEGINS, BEGINS_NUMBER] = [2, 3];
/** How much a page gains whose title, or a way to say it, is just what was asked. */
const LIKE = 2;
/** So many hits are shown in any case; further ones unless they fit less than this share of the best. */
const [SURE, FAINT] = [4, 0.1];
/** More words than these are not asked: a pasted page is no question. */
const MOST_WORDS = 16;

export class Engine {
  #index;
  #synonyms;
  #known = new Map();

  /** `text`: the content of index.json. */
  constructor(text) {
    const { index, synonyms } = JSON.parse(text);
    this.#index = MiniSearch.loadJS(index, OPTIONS);
    this.#synonyms = new Synonyms(synonyms);
  }

  /**
   * The best pages for what is typed, at most `most`:
   * [{url, kind, title, lead, head, text}], where title, head and text are lists of [words, whether they are what was asked].
   */
  find(typed, most) {
    const all = this.#words(typed);
    const asked = all.map(terms).filter((words) => words.length).slice(0, MOST_WORDS);
    const pages = new Map();
    const rarity = asked.map((words, number) => {
      const hits = this.#one(words, number === asked.length - 1);
      for (const { id, score, terms: found, page } of hits) {
        const had = pages.get(id) ?? { id, page, score: 0, found: asked.map(() => new Set()) };
        had.score += score;
        found.forEach((term) => had.found[number].add(term));
        pages.set(id, had);
      }
      return hits.length ? Math.log(1 + this.#index.documentCount / hits.length) : 0;
    });
    for (const one of pages.values()) {
      // A page should have all that was asked; a rare word counts more than one that stands everywhere.
      const share = sum(rarity.filter((_, number) => one.found[number].size)) / sum(rarity);
      one.score *= share ** 2 * one.page.weight;
    }
    const near = best([...pages.values()], most * 5);
    for (const one of near) one.score *= 1 + LIKE * this.#like(all, one);
    const hits = best(near, most);
    return hits.filter(({ score }, number) => number < SURE || score >= hits[0].score * FAINT).map((one) => this.#hit(one));
  }

  /** The words typed. "NQ 2090" is NQ-2090 where there is such a code or no such word, and else two words. */
  #words(typed) {
    const words = spans(typed).map(({ word }) => word);
    const isCode = (at) => {
      if (!/^\p{L}{1,3} \p{N}+$/u.test(`${words[at]} ${words[at + 1] ?? ""}`)) return false;
      const letters = terms(words[at]);
      return this.#knows(plain(words[at] + words[at + 1])) || letters.length > 0 && !letters.some((term) => this.#knows(term));
    };
    return words.flatMap((word, at) => (at && isCode(at - 1) ? [] : isCode(at) ? [word + words[at + 1]] : [word]));
  }

  /** How like what is asked (all words typed) is to the page's title or to one of the ways to say it, from 0 to 1. */
  #like(all, { page: { title, told }, found }) {
    const asked = new Set(found.flatMap((one) => [...one]));
    const silent = new Set(all.filter((word) => !terms(word).length).map(plain));
    const whole = sum(all.map(weight));
    return Math.max(...[title, ...told].map((phrase) => {
      const words = spans(phrase).map(({ word }) => word);
      const spoken = words.filter((word) => terms(word).length);
      const meant = this.#synonyms.meant(spoken.map((word) => terms(word)[0]), asked);
      const same = [
        ...spoken.filter((word, number) => meant.has(number) || terms(word).some((term) => asked.has(term))),
        ...words.filter((word) => silent.has(plain(word))),
      ];
      return sum(same.map(weight)) ** 2 / (sum(words.map(weight)) * whole);
    }));
  }

  /** The pages that have one word, be it a part of it or misspelt. */
  #one(words, last) {
    const code = numbered(words[0]);
    const word = code ? words[0] : words.at(-1);
    const exact = (code ? [word] : words).filter((term) => this.#knows(term));
    const queries = exact.length ? [{ queries: exact }] : [];
    if (!exact.length && !code) {
      const swapped = swaps(word).flatMap(terms).filter((term) => this.#knows(term));
      queries.push({ queries: [...new Set(swapped)] }, { queries: words, fuzzy: distance });
    }
    // The last word may not be whole yet; one that is nowhere may be cut short.
    const begins = word.length >= (code ? BEGINS_NUMBER : BEGINS);
    if (begins && (last || !exact.length)) queries.push({ queries: [word], prefix: true });
    // A word that is nowhere as it is typed counts nearly as much for what it was meant to be.
    const weights = exact.length ? { prefix: 0.375, fuzzy: 0 } : { prefix: 0.7, fuzzy: 0.6 };
    return this.#index.search({ queries: queries.filter((one) => one.queries.length), weights }, AS_IT_IS);
  }

  #knows(term) {
    if (!this.#known.has(term)) this.#known.set(term, this.#index.search(term, AS_IT_IS).length > 0);
    return this.#known.get(term);
  }

  #hit({ page: { url, title, kind, places }, found }) {
    const { anchor, ...shown } = place(title, places, found, this.#synonyms);
    return { url: url + anchor, kind, ...shown };
  }
}

/** The `most` pages with the highest scores; of equal ones the earlier. */
function best(pages, most) {
  return pages.sort((a, b) => b.score - a.score || a.id - b.id).slice(0, most);
}

/** "The" and "not" tell phrases apart, but less than other words do. */
const weight = (word) => (terms(word).length ? 1 : 0.3);

const sum = (numbers) => numbers.reduce((total, one) => total + one, 0);

/** How many letters may differ; two letters that changed places are tried apart, since here they would count as two. */
function distance(term) {
  return term.length < 3 ? 0 : term.length < 8 ? 1 : 2;
}

/** The word with each two neighbours exchanged: what a quick finger does. */
function swaps(word) {
  return Array.from(word.slice(1), (letter, at) => word.slice(0, at) + letter + word[at] + word.slice(at + 2));
}
