// Where on a page the words stand: the place that says most of them, a piece of its text, and which words to mark.
import { spans, terms } from "./terms.js";

/** So many words of a place are shown. */
const SHOWN = 26;

/** The words of a text, each with the numbers of the asked words that it answers. */
function read(text, found, synonyms) {
  const words = spans(text).map(({ word, at }) => ({ at, to: at + word.length, terms: terms(word) }));
  const spoken = words.filter((word) => word.terms.length);
  const meant = synonyms.meant(spoken.map((word) => word.terms[0]), new Set(found.flatMap((one) => [...one])));
  spoken.forEach((word, number) => {
    word.answers = found.flatMap((one, asked) => (word.terms.some((term) => one.has(term)) ? [asked] : []));
    word.other = !word.answers.length && meant.has(number);
  });
  return words;
}

const isMarked = (word) => Boolean(word.answers?.length || word.other);

/** How many words are answered that `known` does not hold; another word for the thing counts half. */
function worth(words, known = new Set()) {
  const answered = new Set(words.flatMap((word) => word.answers ?? []).filter((asked) => !known.has(asked)));
  return answered.size + (!answered.size && words.some((word) => word.other) ? 0.5 : 0);
}

/** A text from `from` to `to` as pieces [words, marked]. */
function pieces(text, words, from = 0, to = text.length) {
  const made = [];
  let at = from;
  for (const word of words) {
    if (word.at < from || word.to > to || !isMarked(word)) continue;
    if (word.at > at) made.push([text.slice(at, word.at), false]);
    made.push([text.slice(word.at, word.to), true]);
    at = word.to;
  }
  if (at < to) made.push([text.slice(at, to), false]);
  return made;
}

/**
 * The place of a page ([lead, head, text, anchor] each) that answers most of what its title does not answer:
 * {anchor, title, lead, head, text}, of which title, head and text are pieces.
 * Where no place does, the first, which says what the page is about.
 */
export function place(title, places, found, synonyms) {
  const inTitle = read(title, found, synonyms);
  const known = new Set(inTitle.flatMap((word) => word.answers ?? []));
  const shown = { anchor: "", title: pieces(title, inTitle), lead: "", head: [], text: [] };
  let most = -1;
  let best = null;
  for (const [lead, head, text, anchor] of places) {
    const inHead = read(head, found, synonyms);
    const inText = read(text, found, synonyms);
    const said = worth([...inHead, ...inText], known) + worth(inHead, known) / 4;
    if (said <= most) continue;
    most = said;
    best = { anchor: said > 0 ? anchor : "", lead, head, inHead, text, inText };
  }
  if (!best) return shown;
  const { anchor, lead, head, inHead, text, inText } = best;
  return { ...shown, anchor, lead, head: pieces(head, inHead), text: excerpt(text, inText) };
}

/** The stretch of a text that answers most, as pieces. */
function excerpt(text, words) {
  if (words.length <= SHOWN) return pieces(text, words);
  let begin = 0;
  let most = -1;
  for (let first = 0; first + SHOWN <= words.length; first++) {
    // Where a sentence begins it reads best.
    const starts = first === 0 || /[.:;!?]\s*$/.test(text.slice(words[first - 1].to, words[first].at));
    const said = worth(words.slice(first, first + SHOWN)) + (starts ? 0.4 : 0);
    if (said > most) [begin, most] = [first, said];
  }
  const end = begin + SHOWN - 1;
  const made = pieces(text, words, begin ? words[begin].at : 0, end === words.length - 1 ? text.length : words[end].to);
  return [...(begin ? [["… ", false]] : []), ...made, ...(end < words.length - 1 ? [[" …", false]] : [])];
}
