// Calls the record's modules for the tests: on each line of the input one call {module, name, given}, on each line of the output its result.
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";

const [record, library] = process.argv.slice(2).map((folder) => pathToFileURL(`${folder}/`).href);
const load = (name) => import(`${record}${name}.js`);
const { Validator } = await import(`${library}index.js`);

const blob = (base64) => new Blob([Buffer.from(base64, "base64")]);
const blobs = (photographs) => new Map(Object.entries(photographs).map(([id, base64]) => [id, blob(base64)]));
const texts = async (photographs) => Object.fromEntries(await Promise.all([...photographs].map(
  async ([id, bytes]) => [id, { type: bytes.type, data: Buffer.from(await bytes.arrayBuffer()).toString("base64") }])));

/** What takes or gives more than plain JSON. */
const calls = {
  async files({ visits, photographs, about, enough }) {
    const { files } = await load("export");
    const kept = blobs(photographs);
    const made = [];
    for await (const parts of files(visits, (id) => kept.get(id) ?? null, about, enough)) made.push(parts.join(""));
    return made;
  },
  async read({ data, size, schema }) {
    const { Refused, read } = await load("import");
    const file = size ? { size, text() { throw new Error("read in spite of its size"); } } : blob(data);
    const validator = new Validator(schema, "7");
    try {
      const { edition, visits } = await read(file, (value) => validator.validate(value));
      return { edition, visits: await Promise.all(visits.map(
        async ({ visit, photographs }) => ({ visit, photographs: await texts(photographs) }))) };
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      return { refused: { why: refused.why, detail: refused.detail } };
    }
  },
  async plan({ mine, theirs }) {
    const { plan } = await load("merge");
    const { put, ...counts } = plan(mine, theirs.map(({ visit, photographs }) => ({ visit, photographs: blobs(photographs) })));
    return { ...counts, put: await Promise.all(put.map(
      async ({ visit, photographs }) => ({ visit, photographs: await texts(photographs) }))) };
  },
};

for await (const line of createInterface({ input: process.stdin })) {
  const { module, name, given } = JSON.parse(line);
  let answer = null;
  try {
    answer = { result: module ? (await load(module))[name](...given) : await calls[name](given) };
  } catch (error) {
    answer = { error: String(error.stack) };
  }
  process.stdout.write(`${JSON.stringify(answer)}\n`);
}
