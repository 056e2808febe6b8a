// Reads an export file beside the page, so that a large one does not hold it up; where no such worker starts, in the page.
import { Validator } from "../app/json-schema/index.js";
import { read } from "./import.js";

/** The file's visits as `{taken}`, or why it is refused as `{refused: {why, detail}}`. `schema`: visit.schema.json. */
export async function reading(file, schema) {
  const validator = new Validator(schema, "7");
  try {
    return { taken: await read(file, (value) => validator.validate(value)) };
  } catch (error) {
    // A file that the browser itself cannot read or hold has no reason of ours.
    return { refused: { why: error.why ?? "unreadable", detail: String(error.detail ?? error.message) } };
  }
}

if ("WorkerGlobalScope" in globalThis) {
  self.addEventListener("message", async ({ data: { file, schema } }) => self.postMessage(await reading(file, schema)));
}
