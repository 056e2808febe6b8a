// The search itself, free of page and worker: the text of index.json in, hits for typed words out.
//
// index.json names every word and every page. Where the words stand, and what the pages say, is in parts, of which those
// are fetched that a question needs; so a large handbook is asked as soon as a small one. macros/searching.mjs makes them:
//   {place: where the parts are, synonyms, kinds, fields: numbers by name, average: length of each field,
//    pages: [url, title, number of the kind, weight, ways to say it, {field: length}],
//    words, terms: number of the first word of each terms-N.json, texts: number of the first page of each texts-N.json}
//   terms-N.json: for each word [field, [page, times, page, times ...], field ...], a page as its distance from the one before
//   texts-N.json: for each page its places
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
  #given;
  #load;
  #index;
  #synonyms;
  #all = false; // whether every word is in the index
  #parts = new Map(); // name -> promise of what it holds

  /** `text`: the content of index.json; `load`: gives the text of a part by its address relative to home, as a promise. */
  constructor(text, load) {
    const given = JSON.parse(text);
    this.#given = given;
    this.#load = load;
    this.#synonyms = new Synonyms(given.synonyms);
    const { kinds, pages } = given;
    // An index of every page, in which no word stands yet.
    const byNumber = (what) => Object.fromEntries(pages.map((page, number) => [number, what(page, number)]));
    this.#index = MiniSearch.loadJS({
      documentCount: pages.length, nextId: pages.length, documentIds: byNumber((_page, number) => number), fieldIds: given.fields,
      fieldLength: byNumber(([, , , , , lengths]) => lengths), averageFieldLength: given.average, dirtCount: 0,
      storedFields: byNumber(([url, title, kind, weight, told]) => ({ page: { url, title, kind: kinds[kind], weight, told } })),
      index: [], serializationVersion: 2,
    }, OPTIONS);
  }

  /**
   * The best pages for what is typed, at most `most`, as a promise:
   * [{url, kind, title, lead, head, text}], where title, head and text are lists of [words, whether they are what was asked].
   */
  async find(typed, most) {
    const all = this.#words(typed);
    const asked = all.map(terms).filter((words) => words.length).slice(0, MOST_WORDS);
    const questions = asked.map((words, number) => this.#question(words, number === asked.length - 1));
    await Promise.all([...new Set(questions.flatMap((question) => this.#needed(question)))].map((number) => this.#standing(number)));
    const pages = new Map();
    const rarity = questions.map((question, number) => {
      const hits = this.#index.search(question, AS_IT_IS);
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
    return Promise.all(hits.filter(({ score }, number) => number < SURE || score >= hits[0].score * FAINT).map((one) => this.#hit(one)));
  }

  /** What a part holds. One that could not be had is asked for again the next time. */
  #part(name) {
    if (!this.#parts.has(name)) {
      const held = this.#load(this.#given.place + name).then(JSON.parse);
      this.#parts.set(name, held);
      held.catch(() => this.#parts.delete(name));
    }
    return this.#parts.get(name);
  }

  /** Put into the index where the words of one part stand. */
  async #standing(number) {
    const { words, terms: firsts } = this.#given;
    const held = await this.#part(`terms-${number}.json`);
    if (held.taken) return;
    held.forEach((standing, at) => {
      const fields = this.#fields(words[firsts[number] + at]);
      for (let one = 0; one < standing.length; one += 2) {
        const pages = new Map();
        let page = 0;
        for (let step = 0; step < standing[one + 1].length; step += 2) {
          page += standing[one + 1][step];
          pages.set(page, standing[one + 1][step + 1]);
        }
        fields.set(standing[one], pages);
      }
    });
    held.taken = true;
  }

  /** Where a word stands, by the number of the field; of one that was not met yet nothing is known. */
  #fields(word) {
    const known = this.#index._index;
    if (!known.has(word)) known.set(word, new Map());
    return known.get(word);
  }

  /** The numbers of the parts that say where the words of a question stand. */
  #needed({ queries }) {
    const { words, terms: firsts } = this.#given;
    const parts = new Set();
    const need = (word) => parts.add(last(firsts, last(words, word)));
    for (const { queries: asked, prefix, fuzzy } of queries) {
      for (const word of asked) {
        if (this.#knows(word)) need(word);
        const end = prefix ? last(firsts, last(words, `${word}\uffff`)) : -1;
        for (let part = last(firsts, last(words, word)); part <= end; part++) parts.add(part);
        if (fuzzy && distance(word)) this.#near(word, distance(word)).forEach(need);
      }
    }
    return [...parts];
  }

  /** The words that differ from one by so many letters. Only for this all words must be in the index. */
  #near(word, letters) {
    if (!this.#all) this.#given.words.forEach((one) => this.#fields(one));
    this.#all = true;
    return [...this.#index._index.fuzzyGet(word, letters).keys()];
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

  /** How one word is asked for, be it a part of a word or misspelt. */
  #question(words, last) {
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
    return { queries: queries.filter((one) => one.queries.length), weights };
  }

  #knows(term) {
    const { words } = this.#given;
    return words[last(words, term)] === term;
  }

  async #hit({ id, page: { url, title, kind }, found }) {
    const number = last(this.#given.texts, id);
    const places = (await this.#part(`texts-${number}.json`))[id - this.#given.texts[number]];
    const { anchor, ...shown } = place(title, places, found, this.#synonyms);
    return { url: url + anchor, kind, ...shown };
  }
}

/** The `most` pages with the highest scores; of equal ones the earlier. */
function best(pages, most) {
  return pages.sort((a, b) => b.score - a.score || a.id - b.id).slice(0, most);
}

/** The place in `sorted` of the last entry that is not above `one`. */
function last(sorted, one) {
  let [from, to] = [0, sorted.length - 1];
  while (from < to) {
    const middle = (from + to + 1) >> 1;
    if (sorted[middle] <= one) from = middle;
    else to = middle - 1;
  }
  return from;
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
