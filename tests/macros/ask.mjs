// node ask.mjs FOLDER: questions as JSON (a list of texts) come in, for each its hits go out; FOLDER is search/ of a site.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const folder = process.argv[2];
const { Engine } = await import(pathToFileURL(join(folder, "engine.js")));
const engine = new Engine(readFileSync(join(folder, "index.json"), "utf-8"));
writeFileSync(1, JSON.stringify(JSON.parse(readFileSync(0, "utf-8")).map((words) => engine.find(words, 10))));
