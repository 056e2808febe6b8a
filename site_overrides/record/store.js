// The record: every visit in a database of this device's own. A change is on the disk before it is said to be done.
//
// A visit is plain JSON; visit.schema.json beside this file describes it. Bytes of photographs lie apart from the visits.
import { openDB } from "../app/idb.js";
import { prefix } from "../app/site.js";
import { _ } from "../app/words.js";
import * as leaving from "./leaving.js";
import { merged } from "./merge.js";

const [VISITS, PHOTOGRAPHS, OWN] = ["visits", "photographs", "own"];
/** Under this key in `OWN`: the id of the visit that is open. */
const CURRENT = "current";
const STRICT = { durability: "strict" };
/** Milliseconds after which a database that does not open counts as refused. */
const OPEN_WITHIN = 10000;

/** Why the record does not do what was asked: `why` is "refused", "full", "newer", "missing" or "broken"; `message` says it. */
export class Refused extends Error {
  constructor(why, detail = "") {
    super(sentence(why, detail));
    Object.assign(this, { why, detail });
  }
}

function sentence(why, detail) {
  switch (why) {
    case "refused": return _("This browser or window keeps no record: its storage is refused. A private window may be the reason. The rest of the handbook works.");
    case "full": return _("This device's storage is full: what was entered last is not kept. What was kept before stands. Free some room, or export visits and remove them.");
    case "newer": return _("The record on this device was written by a newer edition of the handbook. Close its other windows and load this page again.");
    case "missing": return _("This visit is no longer on this device.");
    default: return _("The record could not be written: {detail}", { detail });
  }
}

/** "change" is told here after every change of the record, by this window or by another one. */
export const news = new EventTarget();
const others = "BroadcastChannel" in globalThis ? new BroadcastChannel(`${prefix}record`) : null;
others?.addEventListener("message", () => news.dispatchEvent(new Event("change")));

function tell() {
  news.dispatchEvent(new Event("change"));
  others?.postMessage("change");
}

let database = null;

/** Open the record; every other function opens it by itself. Raises: Refused. */
export async function open() {
  database ??= opened();
  try {
    return await database;
  } catch (trouble) {
    database = null; // asked again, it may be given
    throw trouble;
  }
}

async function opened() {
  let timer = 0;
  const late = new Promise((_done, refused) => { timer = setTimeout(() => refused(new Refused("refused")), OPEN_WITHIN); });
  try {
    // Some browsers throw, some have no database at all: both are found out in here.
    const asked = Promise.resolve().then(() => openDB(`${prefix}record`, 1, {
      upgrade(db) {
        db.createObjectStore(VISITS, { keyPath: "id" });
        db.createObjectStore(PHOTOGRAPHS, { keyPath: "id" }).createIndex("visit", "visit");
        db.createObjectStore(OWN);
      },
      // A newer edition in another window wants to change it: it is given free, and opened again when it is wanted.
      blocking(_now, _wanted, event) { event.target.close(); database = null; },
      terminated() { database = null; },
    }));
    const db = await Promise.race([asked, late]);
    await takeUp(db);
    return db;
  } catch (error) {
    if (error instanceof Refused) throw error;
    throw new Refused(error?.name === "VersionError" ? "newer" : error?.name === "QuotaExceededError" ? "full" : "refused", String(error));
  } finally {
    clearTimeout(timer);
  }
}

/** Put into the database what the page before kept beside it when it was left; what there is no room for waits for the next. */
async function takeUp(db) {
  const visit = leaving.left();
  if (!visit) return;
  const transaction = db.transaction(VISITS, "readwrite", STRICT);
  const ended = transaction.done.then(leaving.taken, () => {});
  const here = await transaction.store.get(visit.id).catch(() => null);
  if (here) await transaction.store.put(merged(here, visit)).catch(() => {});
  await ended;
}

/** Do `work(transaction)` in one transaction: on the disk before this returns, or not at all. Raises: Refused. */
async function written(stores, work) {
  const transaction = (await open()).transaction(stores, "readwrite", STRICT);
  const ended = transaction.done.then(() => null, (why) => why);
  let result = null;
  let trouble = null;
  try {
    result = await work(transaction);
  } catch (error) {
    trouble = error;
    try { transaction.abort(); } catch { /* it has ended by itself */ }
  }
  const why = await ended;
  // What fails because the whole transaction ended says nothing of the reason.
  const reason = trouble && trouble.name !== "AbortError" ? trouble : why ?? trouble;
  if (reason instanceof Refused) throw reason;
  if (reason) throw new Refused(reason.name === "QuotaExceededError" ? "full" : "broken", String(reason.message || reason));
  tell();
  return result;
}

// ---- ids and moments ----

/** A new id (UUID, version 4), also where the address is not a secure one. */
export function uuid() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/** This moment (ISO 8601, UTC), later than `before` whatever the clock says: the later one counts when visits are merged. */
export function now(before = "") {
  const moment = Math.max(Date.now(), (Date.parse(before) || 0) + 1);
  return new Date(moment).toISOString();
}

/** A new entry for a list of a visit. */
export function entry(values) {
  return { id: uuid(), at: now(), ...values };
}

function begun({ machine = {}, ...values }) {
  const at = now();
  return {
    kind: "visit", version: 1, id: uuid(), edition: Number(document.documentElement.dataset.edition) || null,
    begun: at, changed: at, ended: null, customer: "", machine: { id: "", title: "", serial: "", hours: null, ...machine },
    who: "", when: day(), seen: [], steps: [], answers: [], parts: [], minutes: null, price: null, notes: "", remarks: [],
    photographs: [], remains: "", removed: [], ...values,
  };
}

/** Today where the reader is, YYYY-MM-DD. */
function day() {
  const today = new Date();
  return [today.getFullYear(), today.getMonth() + 1, today.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

// ---- visits ----

/** Every visit, the one begun last first. */
export async function all() {
  const visits = await (await open()).getAll(VISITS);
  return visits.sort((a, b) => (a.begun < b.begun ? 1 : a.begun > b.begun ? -1 : 0));
}

/** Visits as they were read or written last, by id. */
const known = new Map();

/** The visit with this id; null when there is none. */
export async function get(id) {
  const visit = (await (await open()).get(VISITS, id)) ?? null;
  known.set(id, visit);
  return visit;
}

/** The visit that is open; null when none is. */
export async function current() {
  const id = await (await open()).get(OWN, CURRENT);
  return id ? get(id) : null;
}

/** Open the visit `id`, which closes the one that was open; null opens none. */
export function setCurrent(id) {
  return written([OWN], ({ store }) => (id ? store.put(id, CURRENT) : store.delete(CURRENT)));
}

/** Begin a visit with `values` (fields of a visit) and open it. Returns it. */
export async function begin(values = {}) {
  const visit = begun(values);
  await written([VISITS, OWN], async (transaction) => {
    await transaction.objectStore(VISITS).add(visit);
    await transaction.objectStore(OWN).put(visit.id, CURRENT);
  });
  return visit;
}

/** Changes on their way to the disk, in their order: {id, how, visit}; `visit`: what came of it, once it was carried out. */
const underway = new Set();

/**
 * Change the visit `id` by `how(visit)`, which alters it at once (no promise). Changes, of other windows too, come one
 * after the other. Returns the visit as it is now. Raises: Refused.
 */
export async function change(id, how) {
  const one = { id, how, visit: null };
  underway.add(one);
  if (leaving.begun()) aside(id);
  try {
    const visit = await written([VISITS], (transaction) => changed(transaction, one));
    known.set(id, visit);
    leaving.written(visit);
    return visit;
  } finally {
    underway.delete(one);
  }
}

async function changed(transaction, one) {
  const visits = transaction.objectStore(VISITS);
  const here = await visits.get(one.id);
  if (!here) throw new Refused("missing");
  one.visit = one.visit ? merged(here, one.visit) : carriedOut(here, [one]);
  await visits.put(one.visit);
  return one.visit;
}

function carriedOut(visit, changes) {
  for (const { how } of changes) how(visit);
  visit.changed = now(visit.changed);
  return visit;
}

// A transaction that a page leaves behind may be given up: what is in none yet is carried out here, once, and kept beside all.
function aside(id) {
  const own = [...underway].filter((one) => one.id === id);
  const last = own.findLast(({ visit }) => visit)?.visit ?? known.get(id);
  if (!last) return;
  const waiting = own.filter(({ visit }) => !visit);
  const visit = waiting.length ? carriedOut(structuredClone(last), waiting) : last;
  for (const one of waiting) one.visit = visit;
  leaving.put(visit);
}

leaving.onLeaving(() => { for (const id of new Set([...underway].map((one) => one.id))) aside(id); });

/** Take the entry `entryId` out of a visit's list, for good: a merge does not bring it back. Returns the visit. */
export function takeOut(id, list, entryId) {
  return written([VISITS, PHOTOGRAPHS], async (transaction) => {
    if (list === "photographs") await transaction.objectStore(PHOTOGRAPHS).delete(entryId);
    return changed(transaction, { id, how: (visit) => {
      visit[list] = visit[list].filter((one) => one.id !== entryId);
      visit.removed = [...new Set([...visit.removed, entryId])];
    } });
  });
}

/** Remove a visit with its photographs from this device. */
export async function remove(id) {
  await written([VISITS, PHOTOGRAPHS, OWN], async (transaction) => {
    const photographs = transaction.objectStore(PHOTOGRAPHS);
    const own = transaction.objectStore(OWN);
    for (const key of await photographs.index("visit").getAllKeys(id)) await photographs.delete(key);
    await transaction.objectStore(VISITS).delete(id);
    if (await own.get(CURRENT) === id) await own.delete(CURRENT);
  });
}

// ---- whole visits, as an import brings them ----

/** Put one whole visit in the place of the one with its id. `photographs`: Map of id -> Blob. */
export function putWhole(visit, photographs = new Map()) {
  return putAll([{ visit, photographs }]);
}

/**
 * Put several whole visits, {visit, photographs} each: all of them or none. `together(here, visit)`: what comes of a visit
 * that is here already; without it the one that is put stands.
 */
export async function putAll(many, together = (_here, visit) => visit) {
  const rows = [];
  // Read before the transaction begins: it would end while it waits for bytes.
  for (const { visit, photographs = new Map() } of many) {
    for (const [id, blob] of photographs) rows.push(await row(id, visit.id, blob));
  }
  await written([VISITS, PHOTOGRAPHS], async (transaction) => {
    const visits = transaction.objectStore(VISITS);
    for (const { visit } of many) {
      const here = await visits.get(visit.id);
      await visits.put(here ? together(here, visit) : visit);
    }
    for (const one of rows) await transaction.objectStore(PHOTOGRAPHS).put(one);
  });
}

// ---- photographs ----

/** A photograph as it is kept. Bytes, no Blob: some browsers keep no Blob in a private window. */
async function row(id, visit, blob) {
  return { id, visit, type: blob.type, bytes: await blob.arrayBuffer() };
}

/** The photograph with this id as a Blob; null when its bytes are not here. */
export async function photograph(id) {
  const kept = await (await open()).get(PHOTOGRAPHS, id);
  return kept ? new Blob([kept.bytes], { type: kept.type }) : null;
}

/** Add a photograph to a visit. `about`: {width, height, about}. Returns its entry. */
export async function addPhotograph(visitId, blob, about = {}) {
  const made = entry({ type: blob.type, width: null, height: null, about: "", ...about });
  const kept = await row(made.id, visitId, blob);
  await written([VISITS, PHOTOGRAPHS], async (transaction) => {
    await transaction.objectStore(PHOTOGRAPHS).put(kept);
    await changed(transaction, { id: visitId, how: (visit) => { visit.photographs.push(made); } });
  });
  return made;
}
