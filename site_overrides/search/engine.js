// The search itself, free of page and worker: the text of index.json in, hits for typed words out.
//
// index.json names every word and every page. Where the words stand, and what the pages say, is in parts, of which those
// are fetched that a question needs; so a large handbook is asked as soon as a small one. macros/searching.mjs makes them:
//   {place: where the parts are, synonyms, kinds: [kind, weight], fields: numbers by name, average: length of each field,
//    pages: {titles, kinds: number of the kind of each, told: [page, ways to say it], lengths: of each field those of the pages},
//    words, terms: number of the first word of each terms-N.json, texts: number of the first page of each texts-N.json}
//   terms-N.json: where the words stand, texts-N.json: what the pages say, often.json: what many of them say
// Numbers, words and what is in parts are written as packed.js says.
import MiniSearch from "./minisearch.js";
import { FIELDS, OPTIONS, numbered, plain, spans, terms } from "./terms.js";
import { Synonyms } from "./synonyms.js";
import { Standing, Texts, numbers, readWords } from "./packed.js";
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
  #words; // sorted
  #pages; // of each {title, kind, weight, told}
  #met = new Set(); // words of which the index knows where they stand
  #all = false; // whether every word is in the index
  #parts = new Map(); // name -> promise of what it holds

  /** `text`: the content of index.json; `load`: gives the text of a part by its address relative to home, as a promise. */
  constructor(text, load) {
    const given = JSON.parse(text);
    this.#given = given;
    this.#load = load;
    this.#synonyms = new Synonyms(given.synonyms);
    this.#words = readWords(given.words);
    const { titles, kinds, told, lengths } = given.pages;
    const ways = new Map(told);
    this.#pages = numbers(kinds).map((one, page) => {
      const [kind, weight] = given.kinds[one];
      return { title: titles[page], kind, weight, told: ways.get(page) ?? [] };
    });
    this.#index = this.#empty(lengths.map(numbers));
  }

  /** An index of every page, in which no word stands yet. `lengths`: of each field those of the pages. */
  #empty(lengths) {
    const { fields, average } = this.#given;
    const index = MiniSearch.loadJS({
      documentCount: this.#pages.length, nextId: this.#pages.length, documentIds: {}, fieldIds: fields, fieldLength: {},
      averageFieldLength: average, dirtCount: 0, storedFields: {}, index: [], serializationVersion: 2,
    }, OPTIONS);
    // By number as they are: loadJS would make a text of every number and read it again.
    for (let page = 0; page < this.#pages.length; page++) {
      index._documentIds.set(page, page);
      index._fieldLength.set(page, lengths.map((field) => field[page]));
    }
    return index;
  }

  /**
   * The best pages for what is typed, at most `most`, as a promise:
   * [{url, kind, title, lead, head, text}], where title, head and text are lists of [words, whether they are what was asked].
   */
  async find(typed, most) {
    const all = this.#asked(typed);
    const asked = all.map(terms).filter((words) => words.length).slice(0, MOST_WORDS);
    const questions = asked.map((words, number) => this.#question(words, number === asked.length - 1));
    await this.#meet(new Set(questions.flatMap((question) => this.#needed(question))));
    const pages = new Map();
    const rarity = questions.map((question, number) => {
      let hits = 0;
      // Each hit is taken as it is met: a list of them all, sorted, is more than is asked for.
      const filter = ({ id, score, terms: found }) => {
        if (!pages.has(id)) pages.set(id, { id, page: this.#pages[id], score: 0, found: [], has: 0 });
        const had = pages.get(id);
        had.score += score;
        had.found[number] = found;
        had.has |= 1 << number;
        hits++;
        return false;
      };
      this.#index.search(question, { ...AS_IT_IS, filter });
      return hits ? Math.log(1 + this.#index.documentCount / hits) : 0;
    });
    // A page should have all that was asked; a rare word counts more than one that stands everywhere.
    const shares = new Map(); // which questions a page answers, as bits -> its share
    const share = (has) => {
      if (!shares.has(has)) shares.set(has, sum(rarity.filter((_, number) => has & 1 << number)) / sum(rarity));
      return shares.get(has);
    };
    for (const one of pages.values()) one.score *= share(one.has) ** 2 * one.page.weight;
    const near = best(pages.values(), most * 5);
    for (const one of near) {
      one.found = asked.map((_words, number) => new Set(one.found[number]));
      one.score *= 1 + LIKE * this.#like(all, one);
    }
    const hits = best(near, most);
    return Promise.all(hits.filter(({ score }, number) => number < SURE || score >= hits[0].score * FAINT).map((one) => this.#hit(one)));
  }

  /** What `read` makes of a part. One that could not be had is asked for again the next time. */
  #part(name, read) {
    if (!this.#parts.has(name)) {
      const held = this.#load(this.#given.place + name).then(JSON.parse).then(read);
      this.#parts.set(name, held);
      held.catch(() => this.#parts.delete(name));
    }
    return this.#parts.get(name);
  }

  /** Put into the index where some of its words, by their numbers, stand. */
  async #meet(words) {
    const firsts = this.#given.terms;
    await Promise.all([...words].filter((word) => !this.#met.has(word)).map(async (word) => {
      const part = last(firsts, word);
      const standing = await this.#part(`terms-${part}.json`, (held) => new Standing(held));
      const fields = this.#fields(this.#words[word]);
      for (const [field, pages] of standing.of(word - firsts[part])) fields.set(field, pages);
      this.#met.add(word);
    }));
  }

  /** Where a word stands, by the number of the field; of one that was not met yet nothing is known. */
  #fields(word) {
    const known = this.#index._index;
    if (!known.has(word)) known.set(word, new Map());
    return known.get(word);
  }

  /** The numbers of the words of which a question needs to know where they stand. */
  #needed({ queries }) {
    const words = this.#words;
    const needed = [];
    for (const { queries: asked, prefix, fuzzy } of queries) {
      for (const word of asked) {
        const near = fuzzy && distance(word) ? this.#near(word, distance(word)) : [];
        needed.push(...[word, ...near].filter((one) => this.#knows(one)).map((one) => last(words, one)));
        for (let at = last(words, word); prefix && at < words.length && words[at] < `${word}\uffff`; at++) {
          if (words[at].startsWith(word)) needed.push(at);
        }
      }
    }
    return needed;
  }

  /** The words that differ from one by so many letters. Only for this all words must be in the index. */
  #near(word, letters) {
    if (!this.#all) this.#words.forEach((one) => this.#fields(one));
    this.#all = true;
    return [...this.#index._index.fuzzyGet(word, letters).keys()];
  }

  /** The words typed. "NQ 2090" is NQ-2090 where there is such a code or no such word, and else two words. */
  #asked(typed) {
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
    // The last word may not be whole yet; one that is nowhere may be cut short.
    const begins = word.length >= (code ? BEGINS_NUMBER : BEGINS) && (last || !exact.length);
    const queries = [{ queries: exact.filter((term) => !begins || term !== word) }];
    if (!exact.length && !code) {
      const swapped = swaps(word).flatMap(terms).filter((term) => this.#knows(term));
      queries.push({ queries: [...new Set(swapped)] }, { queries: words, fuzzy: distance });
    }
    // A word that is nowhere as it is typed counts nearly as much for what it was meant to be. One that is there counts as the
    // word and as its own beginning: twice, looked up once, of which what goes on after it has its share.
    const [twice, prefix, fuzzy] = exact.includes(word) ? [2, 0.1875, 0] : exact.length ? [1, 0.375, 0] : [1, 0.7, 0.6];
    if (begins) queries.push({ queries: [word], prefix: true, boostTerm: () => twice });
    return { queries: queries.filter((one) => one.queries.length), weights: { prefix, fuzzy } };
  }

  #knows(term) {
    return this.#words[last(this.#words, term)] === term;
  }

  async #hit({ id, page: { title, kind }, found }) {
    const part = last(this.#given.texts, id);
    const often = this.#part("often.json", (held) => held);
    const texts = await this.#part(`texts-${part}.json`, async (held) => new Texts(held, await often));
    const { url, places } = texts.of(id - this.#given.texts[part]);
    const { anchor, ...shown } = place(title, places, found, this.#synonyms);
    return { url: url + anchor, kind, ...shown };
  }
}

/** The `most` pages with the highest scores; of equal ones the earlier. */
function best(pages, most) {
  const order = (a, b) => b.score - a.score || a.id - b.id;
  let found = [];
  let worst = null; // of the best so far: what comes after it needs no place in the order
  for (const page of pages) {
    if (worst && order(page, worst) > 0) continue;
    found.push(page);
    if (found.length < most * 2) continue;
    found = found.sort(order).slice(0, most);
    worst = found.at(-1);
  }
  return found.sort(order).slice(0, most);
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
