// Visits as files of JSON, with their photographs in them: what visit.schema.json describes and import.js reads.
import { any } from "./unread.js";

/** A file is closed when it holds more than this many bytes; what comes after goes into another one, which import takes too. */
export const ENOUGH = 40e6;

/**
 * The files that hold `visits`: each a list of texts to put one behind the other. `photograph(id)` -> Blob or null;
 * `made`: this moment, ISO 8601; `edition`: number of this edition or null.
 */
export async function* files(visits, photograph, { made, edition }, enough = ENOUGH) {
  // The lowest format that has everything, so that an older edition takes the file where it can.
  const version = visits.some(any) ? 2 : 1;
  const head = JSON.stringify({ kind: "handbook-visits", version, made, edition, visits: [] }).slice(0, -"]}".length);
  let texts = [head];
  let bytes = 0;
  for (const visit of visits) {
    if (bytes > enough) {
      yield [...texts, "]}\n"];
      [texts, bytes] = [[head], 0];
    }
    const text = JSON.stringify(await whole(visit, photograph));
    texts.push(bytes ? ",\n" : "\n", text);
    bytes += text.length;
  }
  yield [...texts, "]}\n"];
}

async function whole(visit, photograph) {
  const photographs = [];
  for (const entry of visit.photographs) photographs.push({ ...entry, data: await base64(await photograph(entry.id)) });
  return { ...visit, photographs };
}

/** Bytes at a time: a multiple of 3, so that the pieces can be joined, and few enough for a call's arguments. */
const PIECE = 3 * 8192;

async function base64(blob) {
  if (!blob?.size) return null;
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += PIECE) text += btoa(String.fromCharCode(...bytes.subarray(at, at + PIECE)));
  return text;
}
