// Other words for the same thing, from the author's list. They are put into the index beside the words that they mean, so
// that they are found with prefixes and typing errors like any other word, and rank under the words themselves.
import { spans, terms } from "./terms.js";

/** A phrase as the stems of its words. */
function stems(text) {
  return spans(text).map(({ word }) => terms(word)[0]).filter(Boolean);
}

/** Groups of phrases that mean the same. */
export class Synonyms {
  #groups;
  #first = new Map(); // the first stem of a phrase -> [group, number of the phrase]

  /** `groups`: lists of phrases. */
  constructor(groups) {
    this.#groups = groups.map((phrases) => phrases.map((text) => ({ text, stems: stems(text) })));
    this.#groups.forEach((group) => group.forEach(({ stems: [first] }, number) => {
      if (first) this.#first.set(first, [...this.#first.get(first) ?? [], [group, number]]);
    }));
  }

  /** Every phrase that stands in a sequence of stems, as {group, number, from, to}. */
  #inside(sequence) {
    return sequence.flatMap((stem, from) => (this.#first.get(stem) ?? [])
      .filter(([group, number]) => group[number].stems.every((one, place) => sequence[from + place] === one))
      .map(([group, number]) => ({ group, number, from, to: from + group[number].stems.length })));
  }

  /** The other words for what `text` says, each as often as it is said. */
  others(text) {
    const others = ({ group, number }) => group.filter((_phrase, other) => other !== number);
    return this.#inside(stems(text)).flatMap(others).map((phrase) => phrase.text).join(" ");
  }

  /** Which of `sequence` (stems) say in other words what was asked, as a set of places; `asked`: the terms asked for. */
  meant(sequence, asked) {
    const places = new Set();
    for (const { group, number, from, to } of this.#inside(sequence)) {
      const said = group.some(({ stems: words }, other) => other !== number && words.every((word) => asked.has(word)));
      for (let place = from; said && place < to; place++) places.add(place);
    }
    return places;
  }
}
