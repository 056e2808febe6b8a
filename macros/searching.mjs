// Makes the index of the search at build time, with the very modules that read it in the reader's browser.
//
// node searching.mjs FOLDER FILE OUT: FOLDER holds the modules, FILE {documents, synonyms} as JSON. index.json is written into
// the folder OUT, and OUT/HASH/ with the parts that are fetched when a question needs them: terms-N.json says where a word
// stands, texts-N.json has the texts of pages. What each holds is said in engine.js.
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

/** Characters of a part: large enough that few are fetched, small enough that they are read in no time. */
const PART = 64_000;

const [folder, file, out] = process.argv.slice(2);
const from = (name) => import(pathToFileURL(join(folder, name)));
const { default: MiniSearch } = await from("minisearch.js");
const { OPTIONS } = await from("terms.js");
const { Synonyms } = await from("synonyms.js");

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

/** Put `entries` into parts called `name`-N.json. Returns the number of the first entry in each. */
function split(name, entries) {
  const firsts = [];
  let held = [];
  let size = 0;
  entries.forEach((entry, number) => {
    const text = JSON.stringify(entry);
    if (!held.length) firsts.push(number);
    held.push(text);
    size += text.length;
    if (size < PART && number < entries.length - 1) return;
    parts.set(`${name}-${firsts.length - 1}.json`, `[${held.join(",\n")}]\n`);
    held = [];
    size = 0;
  });
  return firsts;
}

/** Where a term stands: for each field its number, then [page, times, page, times ...], a page as its distance from the one before. */
function standing(fields) {
  return Object.entries(fields).flatMap(([field, pages]) => {
    let before = 0;
    return [Number(field), Object.entries(pages).flatMap(([page, times]) => {
      const step = Number(page) - before;
      before = Number(page);
      return [step, times];
    })];
  });
}

const kinds = [...new Set(documents.map(({ kind }) => kind))];
const told = {
  synonyms, kinds, fields: made.fieldIds, average: made.averageFieldLength,
  pages: documents.map(({ url, title, kind, weight, told: ways }, id) =>
    [url, title, kinds.indexOf(kind), weight, ways, made.fieldLength[id]]),
  words: terms.map(([word]) => word),
  terms: split("terms", terms.map(([, fields]) => standing(fields))),
  texts: split("texts", documents.map(({ places }) => places)),
};
const hash = createHash("sha256");
for (const [name, text] of parts) hash.update(`${name}\0${text}\0`);
const place = hash.digest("hex").slice(0, 16);
mkdirSync(join(out, place), { recursive: true });
for (const [name, text] of parts) writeFileSync(join(out, place, name), text);
writeFileSync(join(out, "index.json"), `${JSON.stringify({ place: `search/${place}/`, ...told })}\n`);
