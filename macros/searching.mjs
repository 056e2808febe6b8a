// Makes the index of the search at build time, with the very modules that read it in the reader's browser.
//
// node searching.mjs FOLDER FILE: FOLDER holds the modules, FILE {documents, synonyms} as JSON; the index as JSON goes out.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const from = (name) => import(pathToFileURL(join(process.argv[2], name)));
const { default: MiniSearch } = await from("minisearch.js");
const { OPTIONS } = await from("terms.js");
const { Synonyms } = await from("synonyms.js");

const { documents, synonyms } = JSON.parse(readFileSync(process.argv[3], "utf-8"));
const said = new Synonyms(synonyms);
const index = new MiniSearch(OPTIONS);
documents.forEach((page, id) => {
  const heads = page.places.map(([, head]) => head).join("\n");
  const text = page.places.map(([, , words]) => words).join("\n");
  const told = page.told.join("\n");
  index.add({
    id, page: { url: page.url, title: page.title, kind: page.kind, weight: page.weight, told: page.told, places: page.places },
    title: page.title, told: `${told}\n${said.others(told)}`, codes: page.codes.join("\n"), heads, text,
    kind: page.kind, titleSaid: said.others(page.title), headsSaid: said.others(heads), textSaid: said.others(text),
  });
});
writeFileSync(1, `${JSON.stringify({ index, synonyms })}\n`);
