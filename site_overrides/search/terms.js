// How a text becomes the terms of the index: one way, for the build (in Node) and for the reader's browser.
import { stemmer } from "./stemmer.js";
import { stopwords } from "./stopwords.js";

/** A code such as NQ-2090, E07 or M10; a number; a word. "90cm" is a number and a word, as "90 cm" is. */
const WORD = /\p{L}{1,3}-?\p{N}+[\p{L}\p{N}]*|\p{N}+|\p{L}[\p{L}\p{M}]*(?:['’]\p{L}+)*/gu;

/** The words of a text with where each begins. */
export function spans(text) {
  return Array.from(text.matchAll(WORD), ({ 0: word, index }) => ({ word, at: index }));
}

/** A word as it is compared: small letters, without accents, apostrophes and the hyphen of a code. */
export function plain(word) {
  return word.toLowerCase().normalize("NFKD").replace(/[\p{M}'’-]/gu, "");
}

const SILENT = new Set(stopwords.map(plain));

/** Whether a word (or term) has a number in it: such a word is itself or another, never misspelt. */
export const numbered = (word) => /\p{N}/u.test(word);

/** Words met already, since texts are made of the same ones: word -> its terms. */
const met = new Map();
const MOST_MET = 20_000;

/** The terms under which a word is found: its stem, then itself; of a code the whole and its number. None for "the", "a" ... */
export function terms(word) {
  let found = met.get(word);
  if (!found) {
    if (met.size >= MOST_MET) met.clear();
    met.set(word, found = termsOf(word));
  }
  return found;
}

function termsOf(word) {
  const one = plain(word);
  if (!one || SILENT.has(one) || /^\p{Script=Latin}$/u.test(one)) return [];
  if (numbered(one)) {
    const number = /^\p{L}+(\p{N}{2,})$/u.exec(one);
    return number ? [one, number[1]] : [one];
  }
  const stem = stemmer(one);
  return stem === one ? [one] : [stem, one];
}

/** What each field of a page weighs; `...Said` hold other words for what the field says (see synonyms.js). */
export const FIELDS = { title: 6, told: 5, codes: 6, heads: 2, text: 1, kind: 1, titleSaid: 4.5, headsSaid: 1, textSaid: 0.5 };

/** Options of MiniSearch, the same when the index is made and when it is read. */
export const OPTIONS = {
  fields: Object.keys(FIELDS),
  tokenize: (text) => spans(text).map(({ word }) => word),
  processTerm: terms,
};
