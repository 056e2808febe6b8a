// node ask.mjs ENGINE INDEX: questions as JSON (a list of texts) come in, for each its hits go out; the two are of a site.
import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const [engineFile, indexFile] = process.argv.slice(2);
const { Engine } = await import(pathToFileURL(engineFile));
const engine = new Engine(readFileSync(indexFile, "utf-8"));
writeFileSync(1, JSON.stringify(JSON.parse(readFileSync(0, "utf-8")).map((words) => engine.find(words, 10))));
