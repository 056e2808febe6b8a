// Python in a worker of its own: fetches the runtime's files, checks each, starts Pyodide, answers questions.
//
// in:  {kind: "start", root, runtime: runtime.json, cache: name or null, words: catalogue or null}
//      {kind: "ask", number, text}
// out: {kind: "progress", done, total} {kind: "ready"} {kind: "answer", number, text}
//      {kind: "failed", why, file, detail}; `why` as in python.js
"use strict";

class Failed extends Error {
  constructor(why, file = "", detail = "") {
    super(`${why} ${file} ${detail}`);
    Object.assign(this, { why, file, detail });
  }
}

const TYPES = { js: "text/javascript", json: "application/json", wasm: "application/wasm", zip: "application/zip",
  whl: "application/zip" };
const network = self.fetch.bind(self);
let bridge = null;

/** The bytes of one file, from the saved edition or from the server, never other than the list says. */
async function bytesOf(url, digest, cache) {
  const name = url.split("/").pop();
  if (cache) {
    // Asked here, since not every browser lets a worker's fetch reach the service worker without a network.
    const kept = await (await caches.open(cache)).match(url);
    if (kept) return kept.arrayBuffer();
  }
  for (const mode of ["default", "reload"]) {
    try {
      const response = await network(url, { integrity: `sha256-${digest}`, cache: mode });
      if (response.ok) return await response.arrayBuffer();
    } catch { /* which of several troubles it was is found out below */ }
  }
  let response;
  try {
    response = await network(url, { cache: "no-store" });
  } catch {
    throw new Failed("offline", name);
  }
  throw response.ok ? new Failed("damaged", name) : new Failed("missing", name, String(response.status));
}

async function start({ root, runtime, cache, words }) {
  if (typeof WebAssembly !== "object") throw new Failed("no-wasm");
  const names = Object.keys(runtime.files);
  const held = new Map();
  let done = 0;
  await Promise.all(names.map(async (name) => {
    held.set(root + name, await bytesOf(root + name, runtime.files[name], cache));
    postMessage({ kind: "progress", done: ++done, total: names.length });
  }));
  // Pyodide fetches through here: nothing but the files above, each with its right type whatever the server says.
  self.fetch = async (input) => {
    const url = String(input.url || input);
    if (!held.has(url)) throw new TypeError(`not part of the runtime: ${url}`);
    return new Response(held.get(url), { headers: { "Content-Type": TYPES[url.split(".").pop()] } });
  };
  if (typeof loadPyodide !== "function") {
    for (const name of ["pyodide.asm.js", "pyodide.js"]) {
      try {
        importScripts(root + name);
      } catch (refused) {
        throw new Failed("scripts", name, String(refused.message || refused));
      }
    }
  }
  const lock = JSON.parse(new TextDecoder().decode(held.get(`${root}pyodide-lock.json`)));
  const python = await loadPyodide({ indexURL: root, lockFileContents: lock, packageBaseUrl: root,
    packages: Object.keys(lock.packages) });
  if (words) python.pyimport("calculators.words").use(python.toPy(words));
  bridge = python.pyimport("calculators").bridge;
  held.clear();
  postMessage({ kind: "ready" });
}

self.onmessage = async ({ data }) => {
  try {
    if (data.kind === "start") await start(data);
    else postMessage({ kind: "answer", number: data.number, text: bridge(data.text) });
  } catch (error) {
    const { why = data.kind === "start" ? "start" : "broken", file = "", detail = String(error.message || error) } = error;
    postMessage({ kind: "failed", number: data.number, why, file, detail: detail.trim().split("\n").pop() });
  }
};
