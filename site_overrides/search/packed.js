// The form of the search's files, written at build (in Node) and read in the reader's browser by one module: numbers as
// characters, a word by what it does not share with the word before, pages alike as one stretch, what many pages say once.

/** The first character of a number, the first number that takes two of them, and the first of those two. */
const [FIRST, LARGE, LEAD] = [0x20, 0x8000, 0xe000];
/** What no number reaches; so no number is half of a pair that stands for one character. */
const END = (0x10000 - LEAD) * LARGE;

/** Whole numbers as text, a character each; large ones take two. Raises: RangeError for what is no such number. */
export function written(numbers) {
  return Array.from(numbers, (one) => {
    if (!(Number.isInteger(one) && one >= 0 && one < END)) throw new RangeError(`not to be written: ${one}`);
    const low = String.fromCharCode(FIRST + one % LARGE);
    return one < LARGE ? low : String.fromCharCode(LEAD + Math.floor(one / LARGE)) + low;
  }).join("");
}

/** Reads numbers out of their text, one after the other. */
export class Numbers {
  constructor(text, at = 0) {
    this.text = text;
    this.at = at;
  }

  get more() {
    return this.at < this.text.length;
  }

  next() {
    const code = this.text.charCodeAt(this.at++);
    return code < LEAD ? code - FIRST : (code - LEAD) * LARGE + this.text.charCodeAt(this.at++) - FIRST;
  }
}

/** Every number of a text. */
export function numbers(text) {
  const reader = new Numbers(text);
  const found = [];
  while (reader.more) found.push(reader.next());
  return found;
}

/** Sorted words as [how many letters each shares with the one before, the rest of each]. */
export function writtenWords(words) {
  const shared = words.map((word, number) => {
    const before = words[number - 1] ?? "";
    let same = 0;
    while (same < before.length && word[same] === before[same]) same++;
    return same;
  });
  return [written(shared), words.map((word, number) => word.slice(shared[number])).join("\n")];
}

/** The words again. */
export function readWords([shared, rests]) {
  if (!shared) return [];
  const same = numbers(shared);
  let word = "";
  return rests.split("\n").map((rest, number) => (word = word.slice(0, same[number]) + rest));
}

/**
 * Where a word stands, `fields` {field: {page: times}}, as [its fields as bits and how many stretches are in each, the stretches].
 * A stretch is pages one after the other on which it stands equally often: how many pages are left out before it, with a bit
 * each for more pages than one and more times than one, which follow.
 */
export function writtenStanding(fields) {
  const counts = [Object.keys(fields).reduce((bits, field) => bits | 1 << field, 0)];
  const text = [];
  for (const pages of Object.values(fields)) {
    const stretches = [];
    let after = 0;
    for (const [page, times] of Object.entries(pages).map(([key, value]) => [Number(key), value])) {
      const open = stretches.at(-1);
      if (open && page === after && open.times === times) open.pages++;
      else stretches.push({ gap: page - after, pages: 1, times });
      after = page + 1;
    }
    counts.push(stretches.length);
    for (const { gap, pages: many, times } of stretches) {
      text.push(gap * 4 + (many > 1) * 2 + (times > 1), ...many > 1 ? [many - 2] : [], ...times > 1 ? [times - 2] : []);
    }
  }
  return [written(counts), written(text)];
}

/** Where the words of one part stand. Only what is asked for is spread out. */
export class Standing {
  #stretches;
  #words = []; // for each its fields [number, stretches, where they begin]

  /** `part`: [counts, stretches] of all its words, one after the other. */
  constructor([counts, stretches]) {
    this.#stretches = stretches;
    const told = new Numbers(counts);
    const reader = new Numbers(stretches);
    while (told.more) {
      const fields = [];
      for (let bits = told.next(), field = 0; bits; bits >>= 1, field++) {
        if (!(bits & 1)) continue;
        const many = told.next();
        fields.push([field, many, reader.at]);
        for (let one = 0; one < many; one++) {
          const mark = reader.next();
          if (mark & 2) reader.next();
          if (mark & 1) reader.next();
        }
      }
      this.#words.push(fields);
    }
  }

  /** Where a word stands, by its number in the part: [[field, Map {page -> times}] ...]. */
  of(word) {
    return this.#words[word].map(([field, many, at]) => {
      const reader = new Numbers(this.#stretches, at);
      const pages = new Map();
      let page = 0;
      for (let one = 0; one < many; one++) {
        const mark = reader.next();
        page += Math.floor(mark / 4);
        const end = page + (mark & 2 ? reader.next() + 2 : 1);
        const times = mark & 1 ? reader.next() + 2 : 1;
        while (page < end) pages.set(page++, times);
      }
      return [field, pages];
    });
  }
}

/** The sentences of a text. Put together again with one space between them they are the text. */
const sentences = (text) => (text ? text.split(/(?<=[.!?:;]) /) : []);

/** What a page says, phrase by phrase: of each of its places lead, head, sentences and anchor. */
const phrases = (places) => places.flatMap(([lead, head, text, anchor]) => [lead, head, ...sentences(text), anchor]);

/** What is said at least `often` in all of `pages` (lists of places), in the order of its letters. */
export function saidOften(pages, often) {
  const times = new Map();
  for (const places of pages) for (const phrase of phrases(places)) times.set(phrase, (times.get(phrase) ?? 0) + 1);
  return [...times.keys()].filter((phrase) => times.get(phrase) >= often).sort();
}

/**
 * A page as [[its address], what it says by itself, numbers as text]: how many places; of each lead, head, how many sentences,
 * these, anchor; 0 for what comes next of its own, else 1 + the number in `often` (phrase -> number).
 */
export function writtenPage(url, places, often) {
  const own = [];
  const number = (phrase) => {
    if (!often.has(phrase)) own.push(phrase);
    return often.has(phrase) ? often.get(phrase) + 1 : 0;
  };
  const told = places.flatMap(([lead, head, text, anchor]) => {
    const said = sentences(text);
    return [number(lead), number(head), said.length, ...said.map(number), number(anchor)];
  });
  return [[url], own, written([places.length, ...told])];
}

/** What the pages of one part say. Only what is asked for is put together. */
export class Texts {
  #urls;
  #own;
  #numbers;
  #often;
  #pages = []; // where each begins: [in its own phrases, in the numbers]

  /** `part`: [addresses, own phrases, numbers] of all its pages, one after the other; `often`: what is said often. */
  constructor([urls, own, told], often) {
    this.#urls = urls;
    this.#own = own;
    this.#numbers = told;
    this.#often = often;
    const reader = new Numbers(told);
    let first = 0;
    const pass = (phrases) => {
      for (let one = 0; one < phrases; one++) first += reader.next() === 0;
    };
    while (reader.more) {
      this.#pages.push([first, reader.at]);
      for (let places = reader.next(); places; places--) {
        pass(2);
        pass(reader.next() + 1);
      }
    }
  }

  /** The address and the places of a page, by its number in the part. */
  of(page) {
    let [own, at] = this.#pages[page];
    const reader = new Numbers(this.#numbers, at);
    const phrase = () => {
      const number = reader.next();
      return number ? this.#often[number - 1] : this.#own[own++];
    };
    const places = Array.from({ length: reader.next() }, () => {
      const [lead, head] = [phrase(), phrase()];
      const text = Array.from({ length: reader.next() }, phrase).join(" ");
      return [lead, head, text, phrase()];
    });
    return { url: this.#urls[page], places };
  }
}
