// Answers pages from the edition saved on this device. Saving is done by the pages (app/edition.js).
//
// Installing fetches nothing, so it can neither hang nor fail half-way; it never takes over by itself
// (no skipWaiting). A page belongs to the edition it was opened from until it is closed.
"use strict";

const base = self.registration.scope;
const prefix = `handbook:${new URL(base).pathname}:`;
const pins = new Map(); // client -> edition id, or "" for a page from the server

const recordAt = (name) => `${base}~record/${name}`;
const RECORDS = `${prefix}records`;
const editionCache = (id) => caches.open(`${prefix}edition:${id}`);

async function record(name) {
  return (await (await caches.match(recordAt(name), { cacheName: RECORDS }))?.json()) ?? null;
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || !request.url.startsWith(base) || request.headers.has("X-Handbook-Save")) return;
  if (request.url === `${base}edition.json` || request.url === `${base}sw.js`) return;
  event.respondWith(answer(event));
});

async function answer(event) {
  const { request } = event;
  const url = addressOf(request.url);
  const id = await editionOf(event);
  if (id) {
    const cache = await editionCache(id);
    const kept = await cache.match(url);
    if (kept) return kept;
    if (request.mode === "navigate" && await cache.match(`${url}/`)) return Response.redirect(`${url}/`);
  }
  try {
    return await fetch(request);
  } catch (offline) {
    return await instead(url, request) ?? Promise.reject(offline);
  }
}

/** Without a network: what is saved so far of an edition that is not whole yet, else the page that says so. */
async function instead(url, request) {
  for (const name of ["current", "wanted"]) {
    const one = await record(name);
    const cache = one && await editionCache(one.id);
    const kept = cache && await cache.match(url);
    if (kept) return kept;
    if (cache && request.mode === "navigate" && await cache.match(`${base}saved/`)) {
      const asked = encodeURIComponent(request.url.slice(base.length));
      return Response.redirect(`${base}saved/?asked=${asked}`);
    }
  }
  return null;
}

function addressOf(url) {
  const plain = url.split(/[?#]/)[0];
  return plain.endsWith("/index.html") ? plain.slice(0, -"index.html".length) : plain;
}

/** The edition that answers this request: a page's own, the one in use for a page being opened. */
async function editionOf({ clientId, resultingClientId, request }) {
  const id = request.mode === "navigate" ? (await record("current"))?.id ?? "" : await pinOf(clientId);
  if (resultingClientId) await pin(resultingClientId, id);
  return id;
}

async function pinOf(client) {
  // The worker may have been ended and started again since the page was opened: its memory is then in the records.
  if (!pins.has(client)) pins.set(client, (await record(`page/${client}`))?.id ?? "");
  return pins.get(client);
}

async function pin(client, id) {
  pins.set(client, id);
  if (id) await (await caches.open(RECORDS)).put(recordAt(`page/${client}`), new Response(JSON.stringify({ id })));
}

self.addEventListener("activate", (event) => event.waitUntil(forgetClosedPages()));

async function forgetClosedPages() {
  const kept = await caches.open(RECORDS);
  const open = new Set((await self.clients.matchAll({ type: "all", includeUncontrolled: true })).map(({ id }) => id));
  for (const { url } of await kept.keys()) {
    if (url.startsWith(recordAt("page/")) && !open.has(url.slice(recordAt("page/").length))) await kept.delete(url);
  }
}
