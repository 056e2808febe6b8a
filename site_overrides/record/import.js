// An export file read and held against its schema. It is taken whole or refused with a reason; nothing is written here.

/** The newest format that is read here, as in visit.schema.json. */
export const VERSION = 2;
const KIND = "handbook-visits";

/** The largest file that is read, in bytes: what a tablet holds in memory several times over. */
export const MOST = 100e6;

/** Why a file is not taken: `why` is "large", "empty", "foreign", "newer" or "damaged"; `detail`: its place or version. */
export class Refused extends Error {
  constructor(why, detail = "") {
    super(`${why}: ${detail}`);
    Object.assign(this, { why, detail });
  }
}

/**
 * The visits of the file `blob`: {edition, visits: [{visit, photographs: Map of id -> Blob}]}. `validate(value)` holds a
 * value against the schema: {valid, errors: [{instanceLocation}]}. Raises: Refused.
 */
export async function read(blob, validate) {
  if (blob.size > MOST) throw new Refused("large");
  if (!blob.size) throw new Refused("empty");
  const { edition, visits } = parsed(await blob.text(), validate);
  return { edition, visits: visits.map(apart) };
}

function parsed(text, validate) {
  let file = null;
  try {
    file = JSON.parse(text);
  } catch {
    // Cut off or altered, it still begins as an export does.
    throw new Refused(text.slice(0, 1000).includes(`"${KIND}"`) ? "damaged" : "foreign");
  }
  if (file?.kind !== KIND) throw new Refused("foreign");
  if (file.version > VERSION) throw new Refused("newer", String(file.version));
  const { valid, errors } = validate(file);
  if (!valid) throw new Refused("damaged", deepest(errors));
  return file;
}

/** The place of the fault itself: a fault in an entry is told of everything around it too. */
function deepest(errors) {
  const places = errors.map(({ instanceLocation }) => instanceLocation.replace(/^#\/?/, ""));
  return places.reduce((deep, place) => (place.length > deep.length ? place : deep), "");
}

/** A visit and the bytes of its photographs apart, as the record keeps them. */
function apart(whole) {
  const photographs = new Map(whole.photographs.filter(({ data }) => data !== null)
    .map(({ id, type, data }) => [id, new Blob([bytes(data)], { type })]));
  const visit = { ...whole, photographs: whole.photographs.map(({ data: _bytes, ...entry }) => entry) };
  return { visit, photographs };
}

function bytes(base64) {
  try {
    return Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
  } catch {
    throw new Refused("damaged", "photographs");
  }
}
