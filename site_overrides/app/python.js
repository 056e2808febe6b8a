// The page's handle on Python in its worker: start, ask with a deadline, end and start again.
import { drawn } from "./drawn.js";
import { base, keep, recall } from "./site.js";
import { _, all } from "./words.js";
import { cacheInUse, fromFolder } from "./edition.js";

/** Milliseconds that one calculation may take; the slowest takes a hundredth of it on a slow tablet. */
const ANSWER_WITHIN = 10000;
/** Milliseconds without any sign of progress after which a start is given up. */
const START_WITHIN = 120000;

/** The list of the runtime's files, which the page's first start takes: whoever loads this module is about to ask. */
let listed = fetchList();
listed.catch(() => { /* told by the start */ });

function fetchList() {
  return fetch(new URL("runtime.json", base));
}

/** Why Python does not answer: `why` is one of the codes below, `message` a sentence for the reader. */
export class Trouble extends Error {
  constructor(why, file = "", detail = "") {
    super(sentence(why, file, detail));
    Object.assign(this, { why, file, detail });
  }
}

function sentence(why, file, detail) {
  switch (why) {
    case "no-wasm": return _("This browser cannot calculate here: it has no WebAssembly, which a lockdown mode may have switched off.");
    case "missing": return _("Python cannot start: the server has no {file} (status {status}).", { file, status: detail });
    case "damaged": return _("Python cannot start: {file} is not the file that belongs to this edition; it was damaged on the way or on the server.", { file });
    case "offline": return _("Python cannot start: {file} cannot be fetched. Save the handbook on this device while there is signal.", { file });
    case "scripts": return _("Python cannot start: the browser refuses {file}; the server may send it with a wrong type.", { file });
    case "worker": return _("Python cannot start: this browser refuses to run it beside the page.");
    case "slow": return _("Python did not start in time.");
    case "endless": return _("The calculation did not end in {seconds} seconds and was stopped.", { seconds: ANSWER_WITHIN / 1000 });
    case "broken": return _("The calculation failed: {detail}", { detail });
    default: return _("Python cannot start: {detail}", { detail });
  }
}

/** Fires "change" whenever `state` ("off", "starting", "ready", "failed"), `progress` or `trouble` changes. */
class Python extends EventTarget {
  state = "off";
  trouble = null;
  progress = null;
  from = ""; // what the start was from: "memory" or "files"
  #worker = null;
  #coming = false; // whether a start waits for the page to be drawn
  #asked = new Map();
  #foreseen = new Map(); // request -> its reply, before it is asked
  #number = 0;
  #waiting = [];
  #deadline = 0;

  /** Start unless it runs or is starting, as soon as the page has been drawn; also after a failure, as a new attempt. */
  async start() {
    if (this.#coming || this.state === "starting" || this.state === "ready") return;
    this.#coming = true;
    await drawn;
    this.#coming = false;
    this.#set("starting");
    this.#begin(false);
  }

  /** The reply to a JSON request, as text. Rejects with `Trouble`. Waits for the start. */
  async ask(text) {
    this.start();
    if (this.#foreseen.has(text)) return this.#foreseen.get(text);
    if (this.state !== "ready") await new Promise((resolve, reject) => this.#waiting.push({ resolve, reject }));
    return new Promise((resolve, reject) => {
      const number = ++this.#number;
      const timer = setTimeout(() => this.#endless(number), ANSWER_WITHIN);
      this.#asked.set(number, { resolve, reject, timer });
      this.#worker.postMessage({ kind: "ask", number, text });
    });
  }

  /** Let Python, which runs, go through a request whose reply nobody waits for. */
  warm(text) {
    this.#worker?.postMessage({ kind: "warm", text });
  }

  /** Tell Python that this page is left: what nobody waits for can wait, until another page has opened. */
  left() {
    this.#worker?.postMessage({ kind: "left" });
  }

  /** Have the replies to `texts` at hand before they are asked, as far as Python gets; those foreseen before are forgotten. */
  foresee(texts) {
    this.#foreseen.clear();
    if (this.state !== "ready") return;
    this.#worker.postMessage({ kind: "foresee", texts });
  }

  async #begin(fromText) {
    try {
      if (typeof WebAssembly !== "object") throw new Trouble("no-wasm");
      const runtime = await this.#runtime();
      const root = new URL(runtime.path, base).href;
      const worker = fromText || fromFolder ? await workerFromText(root, runtime) : workerFromAddress(runtime);
      this.#worker = worker;
      this.#alive();
      worker.onmessage = ({ data }) => this.#heard(data, fromText);
      worker.onerror = (event) => {
        event.preventDefault?.();
        if (worker === this.#worker) this.#failedStart(new Trouble("worker"), fromText);
      };
      // A worker reaches no file of a folder by its address.
      const given = fromFolder ? await handedOver(root, runtime) : {};
      worker.postMessage({ kind: "start", root, runtime, cache: await cacheInUse(), words: all(), given });
    } catch (error) {
      this.#failedStart(error instanceof Trouble ? error : new Trouble("start", "", String(error.message || error)), fromText);
    }
  }

  async #runtime() {
    let response;
    try {
      response = await (listed ?? fetchList());
    } catch {
      throw new Trouble("offline", "runtime.json");
    } finally {
      listed = null;
    }
    if (!response.ok) throw new Trouble("missing", "runtime.json", String(response.status));
    try {
      return await response.json();
    } catch {
      throw new Trouble("damaged", "runtime.json");
    }
  }

  #heard(message, fromText) {
    if (message.kind === "progress") {
      this.#alive();
      this.progress = message;
      this.dispatchEvent(new Event("change"));
    } else if (message.kind === "ready") {
      clearTimeout(this.#deadline);
      this.from = message.from;
      this.#set("ready");
      for (const { resolve } of this.#waiting.splice(0)) resolve();
    } else if (message.kind === "answer") {
      this.#settle(message.number)?.resolve(message.text);
    } else if (message.kind === "foreseen") {
      for (const [text, reply] of message.replies) this.#foreseen.set(text, reply);
    } else if (message.number) {
      this.#settle(message.number)?.reject(new Trouble(message.why, message.file, message.detail));
    } else {
      this.#failedStart(new Trouble(message.why, message.file, message.detail), fromText);
    }
  }

  #failedStart(trouble, fromText) {
    this.#end();
    if (!fromText && (trouble.why === "scripts" || trouble.why === "worker")) {
      // A server with wrong types, or a worker that cannot fetch scripts without a network: hand them over as text.
      this.#begin(true);
      return;
    }
    this.trouble = trouble;
    this.#set("failed");
    for (const { reject } of this.#waiting.splice(0)) reject(trouble);
  }

  #endless(number) {
    const trouble = new Trouble("endless");
    this.#settle(number)?.reject(trouble);
    const others = [...this.#asked.keys()].map((other) => this.#settle(other));
    leaveShared();
    this.#end();
    this.#set("off");
    this.start();
    for (const other of others) other.reject(trouble);
  }

  #settle(number) {
    const asked = this.#asked.get(number);
    if (asked) clearTimeout(asked.timer);
    this.#asked.delete(number);
    return asked;
  }

  #alive() {
    clearTimeout(this.#deadline);
    this.#deadline = setTimeout(() => {
      leaveShared();
      this.#failedStart(new Trouble("slow"), true);
    }, START_WITHIN);
  }

  #end() {
    clearTimeout(this.#deadline);
    this.#worker?.terminate();
    this.#worker = null;
    this.progress = null;
  }

  #set(state) {
    this.state = state;
    if (state !== "failed") this.trouble = null;
    this.dispatchEvent(new Event("change"));
  }
}

/** Which shared worker is in use: another after one that hung, which no page can end. */
const TURN = "python-turn";

function leaveShared() {
  keep(TURN, recall(TURN, 0) + 1);
}

/** A worker by its address: shared where the browser has such, so that it is there at once on the next page. */
function workerFromAddress(runtime) {
  const address = new URL("worker.js", import.meta.url);
  try {
    return shared(address, `${runtime.path} ${document.documentElement.lang} ${recall(TURN, 0)}`);
  } catch { /* none, or refused: then one for this page alone */ }
  try {
    return new Worker(address);
  } catch {
    throw new Trouble("worker");
  }
}

function shared(address, name) {
  const worker = new SharedWorker(address, { name, extendedLifetime: true });
  return {
    postMessage: (message) => worker.port.postMessage(message),
    terminate: () => worker.port.close(),
    set onmessage(heard) { worker.port.onmessage = heard; },
    set onerror(failed) { worker.onerror = failed; },
  };
}

/** The runtime's files, by name. */
async function handedOver(root, runtime) {
  const names = Object.keys(runtime.files);
  return Object.fromEntries(await Promise.all(names.map(async (name) => [name, await (await fetch(root + name)).arrayBuffer()])));
}

/** The worker from one text that holds loader and worker, each checked against the list. */
async function workerFromText(root, runtime) {
  const parts = [];
  for (const name of ["memory.js", "pyodide.asm.js", "pyodide.js"]) {
    parts.push(await text(root + name, `sha256-${runtime.files[name]}`));
  }
  parts.push(await text(new URL("worker.js", import.meta.url).href));
  const address = URL.createObjectURL(new Blob(parts.map((part) => `${part}\n`), { type: "text/javascript" }));
  try {
    return new Worker(address);
  } catch {
    throw new Trouble("worker");
  }
}

async function text(url, integrity = "") {
  try {
    const response = await fetch(url, integrity ? { integrity } : {});
    if (response.ok) return await response.text();
  } catch { /* said below */ }
  throw new Trouble("scripts", url.split("/").pop());
}

/** One interpreter for the page, however many calculators it has. */
export const python = new Python();
addEventListener("pagehide", () => python.left());
document.addEventListener("visibilitychange", () => { if (document.hidden) python.left(); });
