// node ask.mjs ENGINE INDEX: questions as JSON (a list of texts) come in, for each its hits go out; the two are of a site.
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";

const [engineFile, indexFile] = process.argv.slice(2);
const { Engine } = await import(pathToFileURL(engineFile));
const home = join(dirname(indexFile), "..");
const engine = new Engine(readFileSync(indexFile, "utf-8"), async (address) => readFileSync(join(home, address), "utf-8"));
const found = [];
for (const words of JSON.parse(readFileSync(0, "utf-8"))) found.push(await engine.find(words, 10));
writeFileSync(1, JSON.stringify(found));
