// A second keeping behind localStorage, which browsers write to the disk only now and then: a tablet that dies loses what
// was typed last. Here every change is on the disk before the next one is begun; at the next start the later one counts.
const STORE = "kept";
/** Milliseconds after which a database that does not open, or does not say what it holds, is gone on without. */
const ANSWERS_WITHIN = 2000;

const waiting = new Map(); // key -> {key, text, when}: not on the disk yet
let database = null;
let writing = false;

function opened(prefix) {
  database ??= new Promise((done, refused) => {
    setTimeout(refused, ANSWERS_WITHIN);
    const asked = indexedDB.open(`${prefix}kept`, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "key" });
    asked.onsuccess = () => {
      // Another page may want to remove it: it is given free, and opened again when it is wanted.
      asked.result.onversionchange = () => { asked.result.close(); database = null; };
      done(asked.result);
    };
    asked.onerror = refused;
  });
  return database;
}

/** Put `text` (null: forgotten) under `key` on the disk. `when`: the moment of the change, milliseconds. */
export function put(prefix, key, text, when) {
  waiting.set(key, { key, text, when });
  if (!writing) write(prefix);
}

async function write(prefix) {
  writing = true;
  try {
    const db = await opened(prefix);
    while (waiting.size) {
      const now = [...waiting.values()];
      waiting.clear();
      await new Promise((done, refused) => {
        const change = db.transaction(STORE, "readwrite", { durability: "strict" });
        for (const one of now) change.objectStore(STORE).put(one);
        change.oncomplete = done;
        change.onerror = change.onabort = refused;
      });
    }
  } catch {
    waiting.clear(); // no such storage here: localStorage holds it alone
  }
  writing = false;
}

/** Everything on the disk: {key, text, when} each; nothing where there is no such storage. */
export async function all(prefix) {
  try {
    const db = await opened(prefix);
    return await new Promise((done, refused) => {
      setTimeout(refused, ANSWERS_WITHIN);
      const asked = db.transaction(STORE).objectStore(STORE).getAll();
      asked.onsuccess = () => done(asked.result);
      asked.onerror = refused;
    });
  } catch {
    return [];
  }
}
