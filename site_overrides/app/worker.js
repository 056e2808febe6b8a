// Python in a worker: fetches the runtime's files, checks each, starts Pyodide, answers questions. Where the browser has
// shared workers, one serves all pages and outlives each of them.
//
// It starts from the memory of a Python that was started at build time; where that cannot be had or does not start, as
// the runtime itself does, from its standard library and our wheel.
//
// in:  {kind: "start", root, runtime: runtime.json, cache: name or null, words: catalogue or null, given: files by name}
//      {kind: "ask", number, text} {kind: "warm", text} {kind: "foresee", texts} {kind: "left"}
// out: {kind: "progress", done, total} {kind: "ready", from: "memory" or "files"} {kind: "answer", number, text}
//      {kind: "foreseen", replies: pairs of text and its reply} {kind: "failed", why, file, detail}; `why` as in python.js
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
  // An `integrity` is checked on this thread, 12 MB before the first answer; a digest is made on another one, at secure addresses
  // alone.
  const { subtle } = crypto;
  for (const mode of ["default", "reload"]) {
    try {
      const response = await network(url, { cache: mode, ...(subtle ? {} : { integrity: `sha256-${digest}` }) });
      if (!response.ok) continue;
      const bytes = await response.arrayBuffer();
      if (!subtle || base64(await subtle.digest("SHA-256", bytes)) === digest) return bytes;
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

function base64(buffer) {
  return btoa(String.fromCharCode(...new Uint8Array(buffer)));
}

const SCRIPTS = ["memory.js", "pyodide.asm.js", "pyodide.js"];
const loaded = new Set(typeof loadPyodide === "function" ? SCRIPTS : []);
const PROGRAM = "pyodide.asm.wasm";
const MEMORY = "memory.zst";
/** What unpacks the memory, in WebAssembly: the same in a script takes three times as long when it runs for the first time. */
const DECODER = "zstd.wasm";
const STDLIB = "python_stdlib.zip";
const LOCK = "pyodide-lock.json";
/** What the loader gets for the standard library when all of it is in memory already: a zip of nothing. */
const NOTHING = new Uint8Array([0x50, 0x4b, 5, 6, ...new Array(18).fill(0)]);

/** The start under way or done, one for all pages: a promise of "memory" or "files". */
let started = null;
let progress = null;
const waiting = new Set();
/** Milliseconds between two tellings of it: each is a task of the page, while every core is busy with the start. */
const TELL_EVERY = 1000;
let telling = 0;

function told(message) {
  progress = message;
  telling ||= setTimeout(() => {
    telling = 0;
    for (const port of waiting) port.postMessage(progress);
  }, TELL_EVERY);
}

async function start(asked) {
  if (typeof WebAssembly !== "object") throw new Failed("no-wasm");
  try {
    return await startFrom("memory", asked);
  } catch (error) {
    if (![MEMORY, DECODER].includes(error.file)) throw error;
    return startFrom("files", asked);
  }
}

async function startFrom(source, { root, runtime, cache, words, given }) {
  const memory = source === "memory";
  const names = Object.keys(runtime.files).filter((name) => !(memory ? runtime.stock : [MEMORY, DECODER]).includes(name));
  let done = 0;
  const arriving = new Map(names.map((name) => [name, (async () => {
    const bytes = given[name] ?? await bytesOf(root + name, runtime.files[name], cache);
    told({ kind: "progress", done: ++done, total: names.length });
    return bytes;
  })()]));
  const file = (name) => arriving.get(name);
  // What can be done with the files that are here is done while others are on their way.
  const compiled = file(PROGRAM).then((bytes) => WebAssembly.compile(bytes));
  const unpacked = memory ? unpack(root, file) : null;
  for (const early of [compiled, unpacked]) early?.catch(() => { /* told by who waits for it */ });
  const held = new Map(await Promise.all(names.map(async (name) => [name, await file(name)])));
  // Pyodide fetches through here: nothing but the files above, each with its right type whatever the server says.
  self.fetch = async (input) => {
    const url = String(input.url || input);
    const name = url.slice(root.length);
    if (memory && name === STDLIB) return new Response(NOTHING, { headers: { "Content-Type": TYPES.zip } });
    if (!url.startsWith(root) || !held.has(name)) throw new TypeError(`not part of the runtime: ${url}`);
    return new Response(held.get(name), { headers: { "Content-Type": TYPES[name.split(".").pop()] } });
  };
  load(root, SCRIPTS);
  const python = await withProgram(compiled, memory ? () => fromMemory(root, unpacked, runtime.info) : () => fromFiles(root, held));
  if (words) python.pyimport("calculators.words").use(python.toPy(words));
  bridge = python.pyimport("calculators").bridge;
  python.pyimport("gc").freeze(); // what is there now stays: no answer waits until all of it has been looked through again
  return source;
}

/** Run scripts of the runtime, unless they came with this one in one text. */
function load(root, names) {
  for (const name of names) {
    if (loaded.has(name)) continue;
    try {
      importScripts(root + name);
    } catch (refused) {
      throw new Failed("scripts", name, String(refused.message || refused));
    }
    loaded.add(name);
  }
}

/** What `begin` comes to, when the loader gets the program that was compiled beforehand. */
async function withProgram(compiled, begin) {
  const { instantiateStreaming } = WebAssembly;
  if (instantiateStreaming) {
    WebAssembly.instantiateStreaming = async (_response, imports) => {
      const module = await compiled;
      return { module, instance: await WebAssembly.instantiate(module, imports) };
    };
  }
  try {
    return await begin();
  } finally {
    WebAssembly.instantiateStreaming = instantiateStreaming;
  }
}

/** The memory of a started Python. */
async function unpack(root, file) {
  const decoder = file(DECODER).then((bytes) => WebAssembly.instantiate(bytes, { env: { emscripten_notify_memory_growth() {} } }));
  decoder.catch(() => { /* told below */ });
  await Promise.all(SCRIPTS.map(file));
  load(root, SCRIPTS); // those of the runtime too, while the memory is on its way
  const packed = await file(MEMORY);
  let memory;
  try {
    memory = withZeros(unpacked((await decoder).instance.exports, new Uint8Array(packed)));
  } catch (error) {
    throw new Failed("memory", MEMORY, String(error.message || error));
  }
  const program = new Uint8Array(await file(PROGRAM));
  try {
    return withoutProgram(memory, program);
  } catch (error) {
    throw new Failed("memory", MEMORY, String(error.message || error));
  }
}

async function fromMemory(root, unpacked, info) {
  const memory = await unpacked;
  try {
    return await loadPyodide({ indexURL: root, lockFileContents: { info, packages: {} }, packageBaseUrl: root,
      _loadSnapshot: memory });
  } catch (error) {
    throw new Failed("memory", MEMORY, String(error.message || error));
  }
}

async function fromFiles(root, held) {
  const lock = JSON.parse(new TextDecoder().decode(held.get(LOCK)));
  return loadPyodide({ indexURL: root, lockFileContents: lock, packageBaseUrl: root, packages: Object.keys(lock.packages) });
}

/** So often a request is gone through, with so many milliseconds between, in which questions are answered. */
const WARM_TURNS = 60;
const WARM_REST = 20;
const warmed = new Set();
/** So many milliseconds it rests after a page was left, since the next page is opening on the same processor, and after a question. */
const OPENING = 3000;
const TYPING = 400;
let resting = 0; // until when

function pause(milliseconds) {
  return new Promise((over) => setTimeout(over, milliseconds));
}

function rest(milliseconds) {
  resting = Math.max(resting, performance.now() + milliseconds);
}

/**
 * Answer a request that nobody asked. What runs for the first time runs ten times slower than later: a browser translates each part
 * of Python's program when it is come to, and well only what has run often. Nothing of the answer is kept.
 */
async function warm(text) {
  if (warmed.has(text)) return;
  warmed.add(text);
  for (let turn = 0; turn < WARM_TURNS; turn += 1) {
    await pause(WARM_REST);
    while (performance.now() < resting) await pause(resting - performance.now());
    bridge(text);
  }
}

const { port1: turn, port2: turns } = new MessageChannel();
turn.start();

/** Let what else has come in be done first. By a message: a browser keeps one timer after the other waiting for 4 ms each. */
function others() {
  return new Promise((then) => {
    turn.addEventListener("message", then, { once: true });
    turns.postMessage(null);
  });
}

/** What is foreseen last; a newer one takes its place. */
let foreseeing = null;

/** So many of them are told at once: each telling is a task of a page in which somebody types. */
const TOLD = 4;

/** Answer what may be asked next, one after the other; what is asked comes in between. */
async function foresee(port, texts) {
  foreseeing = texts;
  for (let from = 0; from < texts.length; from += TOLD) {
    const replies = [];
    for (const text of texts.slice(from, from + TOLD)) {
      await others();
      if (foreseeing !== texts) return;
      replies.push([text, bridge(text)]);
    }
    port.postMessage({ kind: "foreseen", replies });
  }
}

/** Serve one page through its port; a worker that is not shared has itself for a port. */
function serve(port) {
  port.onmessage = async ({ data }) => {
    try {
      if (data.kind === "ask" || data.kind === "foresee") rest(TYPING);
      if (data.kind === "ask") {
        port.postMessage({ kind: "answer", number: data.number, text: bridge(data.text) });
        return;
      }
      if (data.kind === "warm" || data.kind === "foresee") {
        await (data.kind === "warm" ? warm(data.text) : foresee(port, data.texts)).catch(() => { /* who asks is told */ });
        return;
      }
      if (data.kind === "left") {
        rest(OPENING);
        return;
      }
      waiting.add(port);
      if (started && progress) port.postMessage(progress);
      started ??= start(data);
      port.postMessage({ kind: "ready", from: await started });
    } catch (error) {
      if (data.kind === "start") started = null; // the next page that asks is a new attempt
      const { why = data.kind === "start" ? "start" : "broken", file = "", detail = String(error.message || error) } = error;
      port.postMessage({ kind: "failed", number: data.number, why, file, detail: detail.trim().split("\n").pop() });
    } finally {
      waiting.delete(port);
    }
  };
}

if ("onconnect" in self) self.onconnect = ({ ports }) => serve(ports[0]);
else serve(self);
