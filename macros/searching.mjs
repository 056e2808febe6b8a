// Makes the index of the search at build time, with the very modules that read it in the reader's browser.
//
// node searching.mjs FOLDER FILE OUT: FOLDER holds the modules, FILE {documents, synonyms} as JSON. index.json is written into
// the folder OUT, and OUT/HASH/ with the parts that are fetched when a question needs them: terms-N.json says where a word
// stands, texts-N.json what pages say, often.json what many pages say. What each holds is said in engine.js and packed.js.
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

/**
 * Characters of a part at the least: large enough that few are fetched and that it packs well, small enough that it is read in
 * no time. A part ends at the next entry whose name says so, at twice as many in any case; so a change moves the ends near by
 * only, and an update fetches few parts.
 */
const LEAST = { terms: 12_000, texts: 32_000 };
/** One in so many names ends a part. */
const ENDS = 16;
/** What is said so often in the whole handbook is in often.json. */
const OFTEN = 8;

const [folder, file, out] = process.argv.slice(2);
const from = (name) => import(pathToFileURL(join(folder, name)));
const { default: MiniSearch } = await from("minisearch.js");
const { OPTIONS } = await from("terms.js");
const { Synonyms } = await from("synonyms.js");
const { saidOften, written, writtenPage, writtenStanding, writtenWords } = await from("packed.js");

const { documents, synonyms } = JSON.parse(readFileSync(file, "utf-8"));
const said = new Synonyms(synonyms);
const index = new MiniSearch(OPTIONS);
documents.forEach((page, id) => {
  const heads = page.places.map(([, head]) => head).join("\n");
  const text = page.places.map(([, , words]) => words).join("\n");
  const told = page.told.join("\n");
  index.add({
    id, title: page.title, told: `${told}\n${said.others(told)}`, codes: page.codes.join("\n"), heads, text,
    kind: page.kind, titleSaid: said.others(page.title), headsSaid: said.others(heads), textSaid: said.others(text),
  });
});

const made = index.toJSON();
const terms = made.index.sort(([a], [b]) => (a < b ? -1 : 1));
const parts = new Map();

/** Whether a part may end with what has this name. */
const ends = (name) => createHash("sha256").update(name).digest().readUInt32BE() % ENDS === 0;

/**
 * Put entries into parts called `kind`-N.json, of each the columns of its entries. `entries`: [name, its piece of each column].
 * Pieces are texts, put together, or lists, put one after the other. Returns the number of the first entry in each part.
 */
function split(kind, entries) {
  const firsts = [];
  let held = [];
  let size = 0;
  entries.forEach(([name, pieces], number) => {
    if (!held.length) firsts.push(number);
    held.push(pieces);
    size += pieces.flat().join("").length;
    const full = size >= LEAST[kind] * (ends(name) ? 1 : 2);
    if (!full && number < entries.length - 1) return;
    const columns = pieces.map((piece, at) => {
      const column = held.map((one) => one[at]);
      return Array.isArray(piece) ? column.flat() : column.join("");
    });
    parts.set(`${kind}-${firsts.length - 1}.json`, `${JSON.stringify(columns)}\n`);
    held = [];
    size = 0;
  });
  return firsts;
}

const kinds = [...new Set(documents.map(({ kind, weight }) => JSON.stringify([kind, weight])))];
const often = saidOften(documents.map(({ places }) => places), OFTEN);
const numberOf = new Map(often.map((phrase, number) => [phrase, number]));
parts.set("often.json", `${JSON.stringify(often)}\n`);
const told = {
  synonyms, kinds: kinds.map((one) => JSON.parse(one)), fields: made.fieldIds, average: made.averageFieldLength,
  pages: {
    titles: documents.map(({ title }) => title),
    kinds: written(documents.map(({ kind, weight }) => kinds.indexOf(JSON.stringify([kind, weight])))),
    told: documents.flatMap(({ told: ways }, id) => (ways.length ? [[id, ways]] : [])),
    lengths: Object.values(made.fieldIds).map((field) =>
      written(documents.map((_page, id) => made.fieldLength[id][field] ?? 0))),
  },
  words: writtenWords(terms.map(([word]) => word)),
  terms: split("terms", terms.map(([word, fields]) => [word, writtenStanding(fields)])),
  texts: split("texts", documents.map(({ url, places }) => [url, writtenPage(url, places, numberOf)])),
};
const hash = createHash("sha256");
for (const [name, text] of parts) hash.update(`${name}\0${text}\0`);
const place = hash.digest("hex").slice(0, 16);
mkdirSync(join(out, place), { recursive: true });
for (const [name, text] of parts) writeFileSync(join(out, place, name), text);
writeFileSync(join(out, "index.json"), `${JSON.stringify({ place: `search/${place}/`, ...told })}\n`);
