// The edition saved on this device: fetched file by file, each checked before it is kept, in use only when whole.
//
// Each edition has a cache of its own. Four records say what is what: `wanted` (being saved), `next` (whole, and
// not yet chosen by the reader), `current` (in use) and `previous` (kept). The service worker reads them too.
import { base, prefix } from "./site.js";

const LIST_WITHIN = 20000;
const FILE_WITHIN = 90000;
const AT_ONCE = 4;
/** Tells the service worker that the server itself is meant, not what is saved. */
const FROM_SERVER = { "X-Handbook-Save": "1" };
/** Kept with a saved page, so that it is guarded offline as it is online. */
const GUARDS = ["Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy", "Cross-Origin-Opener-Policy"];
const TYPES = { html: "text/html; charset=utf-8", js: "text/javascript; charset=utf-8", css: "text/css; charset=utf-8",
  json: "application/json", wasm: "application/wasm", svg: "image/svg+xml", png: "image/png", jpg: "image/jpeg",
  webp: "image/webp", woff2: "font/woff2", woff: "font/woff", zip: "application/zip", whl: "application/zip",
  webmanifest: "application/manifest+json", txt: "text/plain; charset=utf-8" };

/** Why saving stopped: `why` is offline, list, refused (with `files`), room or gone. */
export class Stopped extends Error {
  constructor(why, files = []) {
    super(why);
    Object.assign(this, { why, files });
  }
}

/** Whether this is the folder edition, opened from a disk: it is saved as it is. */
export const fromFolder = location.protocol === "file:";

/** Whether this browser can save at all here; https or this machine itself is needed. */
export const available = !fromFolder && isSecureContext && "serviceWorker" in navigator && "caches" in self;

const cacheName = (id) => `${prefix}edition:${id}`;
const recordAt = (name) => new URL(`~record/${name}`, base).href;
const RECORDS = `${prefix}records`;

/** A record, or null. */
export async function record(name) {
  if (!available) return null;
  try {
    // Asked by name, so that asking does not make the cache: nothing is kept unless the reader saves.
    return await (await caches.match(recordAt(name), { cacheName: RECORDS }))?.json() ?? null;
  } catch {
    return null; // some private windows have caches that refuse every call
  }
}

async function note(name, value) {
  const kept = await caches.open(RECORDS);
  if (value === null) await kept.delete(recordAt(name));
  else await kept.put(recordAt(name), new Response(JSON.stringify(value)));
}

/** The name of the cache this page is answered from, for its worker; null when it came from the server. */
export async function cacheInUse() {
  if (!available || !navigator.serviceWorker.controller) return null;
  const current = await record("current");
  return current ? cacheName(current.id) : null;
}

async function sha256(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The list of the edition on the server, refused unless it is whole and its own. */
export async function onServer() {
  let response, text;
  try {
    response = await fetch(new URL("edition.json", base),
      { cache: "no-store", redirect: "error", headers: FROM_SERVER, signal: AbortSignal.timeout(LIST_WITHIN) });
    text = await response.text();
  } catch {
    throw new Stopped("offline");
  }
  let list;
  try {
    list = JSON.parse(text);
    const lines = list.files.map((file) => `${file.sha256} ${file.bytes} ${file.url}\n`);
    const whole = `${list.edition} ${list.date}\n${lines.join("")}`;
    if ((await sha256(new TextEncoder().encode(whole))).slice(0, 16) !== list.id) throw new Error("not its own id");
    if (!list.files.every((file) => new URL(file.url, base).href.startsWith(base))) throw new Error("foreign address");
  } catch {
    throw new Stopped("list");
  }
  return list;
}

/** Begin saving the edition on the server, or go on with it. Progress is told to `tell({done, total, bytes})`. */
export async function save(tell) {
  await navigator.serviceWorker.register(new URL("sw.js", base), { updateViaCache: "none" });
  const list = await onServer();
  const current = await record("current");
  if (current?.id === list.id && await held(current) === list.files.length) {
    await note("wanted", null);
    return current;
  }
  await room(list);
  await note("wanted", { id: list.id, edition: list.edition, files: list.files.length, bytes: list.bytes });
  return fill(list, tell);
}

async function room(list) {
  const estimate = await navigator.storage?.estimate?.();
  // What is there already of this edition counts as used, so this only stops what cannot succeed at all.
  if (estimate?.quota && estimate.quota < list.bytes) throw new Stopped("room");
}

async function fill(list, tell) {
  const cache = await caches.open(cacheName(list.id));
  const there = new Set((await cache.keys()).map((request) => request.url));
  const missing = list.files.filter((file) => !there.has(new URL(file.url, base).href));
  missing.sort((a, b) => first(b) - first(a));
  const earlier = await heldEarlier(list.id, cache);
  let bytes = list.files.reduce((sum, file) => sum + file.bytes, 0) - missing.reduce((sum, file) => sum + file.bytes, 0);
  let done = list.files.length - missing.length;
  const refused = [];
  const total = list.files.length;
  tell({ done, total, bytes });
  let stopped = null;
  async function take(file) {
    try {
      const response = await earlier(file) ?? await fetched(file);
      await cache.put(new URL(file.url, base).href, response);
      tell({ done: ++done, total, bytes: bytes += file.bytes });
    } catch (error) {
      if (error instanceof Stopped && error.why === "refused") refused.push(file.url);
      else stopped ??= error instanceof Stopped ? error : new Stopped(error.name === "QuotaExceededError" ? "room" : "gone");
    }
  }
  async function some() {
    while (!stopped && missing.length) await take(missing.shift());
  }
  if (missing[0]?.url === HOME) await take(missing.shift());
  await Promise.all(Array.from({ length: AT_ONCE }, some));
  if (stopped) throw stopped;
  if (refused.length) {
    if ((await onServer()).id !== list.id) return save(tell); // published anew in the meantime
    throw new Stopped("refused", refused);
  }
  return whole(list, cache);
}

/** Home's address in the list. It is saved before all others, since what it says of its edition every page says. */
const HOME = "./";
const first = (file) => (file.url === HOME ? 2 : Number(Boolean(file.shell)));

/** Where every page says of which edition it is. */
const MARKS = [/ data-edition="[^"]*"/, /<span data-saved-line>[^<]*</];

/**
 * A function that gives a file from another edition on this device: one with the same content, or a page that differs in
 * nothing but what it says of its edition. What that is stands in home, in `cache`, where the edition is being put.
 */
async function heldEarlier(id, cache) {
  const [same, pages] = [new Map(), new Map()]; // each a cache and an address there
  for (const name of ["previous", "current", "next"]) {
    const one = await record(name);
    const list = one && one.id !== id && await listOf(one);
    if (!list) continue;
    const kept = await caches.open(cacheName(one.id));
    for (const file of list.files) {
      same.set(file.sha256, [kept, file.url]);
      if (file.url.endsWith("/") && file.url !== HOME) pages.set(file.url, [kept, file.url]);
    }
  }
  let marks = null;
  return async (file) => {
    const held = same.get(file.sha256) ?? pages.get(file.url);
    const there = await held?.[0].match(new URL(held[1], base).href);
    if (!there) return null;
    if (same.has(file.sha256)) return asListed(file, await there.arrayBuffer(), there.headers);
    marks ??= marksOf(await (await cache.match(base))?.text() ?? "");
    return asListed(file, new TextEncoder().encode(marked(await there.text(), marks)), there.headers);
  };
}

const marksOf = (page) => MARKS.map((mark) => page.match(mark)?.[0] ?? "");

const marked = (page, marks) => MARKS.reduce((text, mark, at) => text.replace(mark, () => marks[at]), page);

/** What is kept of a file with these bytes; null when they are not the ones listed. */
async function asListed(file, bytes, headers) {
  return bytes.byteLength === file.bytes && await sha256(bytes) === file.sha256 ? stored(file, bytes, headers) : null;
}

/** One file from the server, as it will be kept; refused unless it is exactly the one listed. */
async function fetched(file) {
  for (const cache of ["default", "reload"]) {
    let response, bytes;
    try {
      response = await fetch(new URL(file.url, base),
        { cache, redirect: "manual", headers: FROM_SERVER, signal: AbortSignal.timeout(FILE_WITHIN) });
      bytes = await response.arrayBuffer();
    } catch {
      if (cache === "reload") throw new Stopped(navigator.onLine && await answers() ? "refused" : "offline");
      continue;
    }
    const kept = response.ok && await asListed(file, bytes, response.headers);
    if (kept) return kept;
  }
  throw new Stopped("refused");
}

async function answers() {
  return onServer().then(() => true, () => false);
}

function stored(file, bytes, from) {
  const ending = /[/]$/.test(file.url) ? "html" : file.url.split(".").pop();
  const headers = { "Content-Type": TYPES[ending] || "application/octet-stream", "Content-Length": String(bytes.byteLength) };
  for (const name of GUARDS) if (from.has(name)) headers[name] = from.get(name);
  return new Response(bytes, { headers });
}

async function whole(list, cache) {
  await cache.put(recordAt("list"), new Response(JSON.stringify(list)));
  const one = { id: list.id, edition: list.edition, date: list.date, files: list.files.length, bytes: list.bytes,
    checked: new Date().toISOString() };
  const current = await record("current");
  await note(current && current.id !== list.id ? "next" : "current", one);
  await note("wanted", null);
  await tidy();
  return one;
}

/** How many of an edition's files are on this device. */
export async function held(one) {
  const list = await listOf(one);
  if (!list) return 0;
  const there = new Set((await (await caches.open(cacheName(one.id))).keys()).map((request) => request.url));
  return list.files.filter((file) => there.has(new URL(file.url, base).href)).length;
}

async function listOf(one) {
  return (await (await (await caches.open(cacheName(one.id))).match(recordAt("list")))?.json()) ?? null;
}

/** Check the hash of every file in use again. A file that is not as listed is thrown away, and wanted again. */
export async function check(tell) {
  const current = await record("current");
  const cache = await caches.open(cacheName(current.id));
  const { files } = await listOf(current) ?? { files: [] };
  let done = 0;
  for (const file of files) {
    const url = new URL(file.url, base).href;
    const bytes = await (await cache.match(url))?.arrayBuffer();
    if (bytes && await sha256(bytes) === file.sha256) tell({ done: ++done, total: files.length, bytes: 0 });
    else await cache.delete(url);
  }
  if (done < current.files) {
    await note("wanted", { id: current.id, edition: current.edition, files: current.files, bytes: current.bytes });
  } else {
    await note("current", { ...current, checked: new Date().toISOString() });
  }
  return done;
}

/** Use the edition that was fetched; open pages stay with theirs, and the one before is kept. */
export async function change() {
  const [current, next] = [await record("current"), await record("next")];
  await note("previous", current);
  await note("current", next);
  await note("next", null);
  await tidy();
}

/** Use the edition before this one again; the newer one is kept. */
export async function back() {
  const [current, previous] = [await record("current"), await record("previous")];
  await note("current", previous);
  await note("next", current);
  await note("previous", null);
}

/** Remove everything saved, and the service worker. */
export async function forget() {
  for (const name of await caches.keys()) if (name.startsWith(prefix)) await caches.delete(name);
  await (await navigator.serviceWorker.getRegistration(base))?.unregister();
}

async function tidy() {
  const kept = new Set();
  for (const name of ["wanted", "next", "current", "previous"]) kept.add((await record(name))?.id);
  for (const name of await caches.keys()) {
    if (name.startsWith(`${prefix}edition:`) && !kept.has(name.slice(cacheName("").length))) await caches.delete(name);
  }
}
