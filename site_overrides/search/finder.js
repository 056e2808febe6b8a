// The page's handle on the search: opened at the first touch, asked as one types, answered by the worker.
import { base } from "../app/site.js";

class Finder {
  #opened = null;
  #number = 0;
  #waiting = null;

  /** Fetch the index and start the worker, once; tried anew after a failure. Rejects when the index cannot be had. */
  open() {
    this.#opened ??= this.#open().catch((error) => {
      this.#opened = null;
      throw error;
    });
    return this.#opened;
  }

  /** The hits for `words`, at most `most` (see engine.js); null when another question came before the answer. */
  async find(words, most) {
    const number = ++this.#number;
    const ask = await this.open();
    return number === this.#number ? ask(number, words, most) : null;
  }

  async #open() {
    // The worker starts while the index is on its way.
    const starting = this.#start();
    starting.catch(() => { /* met below */ });
    const bytes = await fetched("search/index.json");
    try {
      return await this.#inWorker(await starting, bytes.slice(0));
    } catch {
      // A browser without such workers, or one that cannot start them without a network: then in the page itself.
      const { Engine } = await import("./engine.js");
      const text = (held) => new TextDecoder().decode(held);
      const engine = new Engine(text(bytes), async (address) => text(await fetched(address)));
      return (_number, words, most) => engine.find(words, most);
    }
  }

  /** A worker whose scripts are there. */
  async #start() {
    const worker = new Worker(new URL("worker.js", import.meta.url), { type: "module" });
    await new Promise((started, failed) => {
      worker.onmessage = started;
      worker.onerror = (event) => {
        event.preventDefault?.();
        failed(new Error("worker"));
      };
    });
    return worker;
  }

  async #inWorker(worker, bytes) {
    await new Promise((started, failed) => {
      worker.onmessage = ({ data }) => (data.kind === "ready" ? started() : failed(new Error(data.detail)));
      worker.postMessage({ kind: "open", bytes }, [bytes]);
    });
    worker.onmessage = ({ data }) => (data.kind === "need" ? this.#give(worker, data.address) : this.#heard(data));
    worker.onerror = () => this.#fail();
    return (number, words, most) => {
      this.#waiting?.resolve(null);
      return new Promise((resolve, reject) => {
        this.#waiting = { number, resolve, reject };
        worker.postMessage({ kind: "find", number, words, most });
      });
    };
  }

  async #give(worker, address) {
    const bytes = await fetched(address).catch(() => null);
    worker.postMessage({ kind: "part", address, bytes }, bytes ? [bytes] : []);
  }

  #heard({ kind, number, hits, detail }) {
    if (kind !== "found") this.#fail(detail);
    else if (this.#waiting?.number === number) this.#waiting.resolve(hits);
  }

  #fail(detail = "worker") {
    this.#opened = null;
    this.#waiting?.reject(new Error(detail));
    this.#waiting = null;
  }
}

/** The bytes of a file of the handbook, by its address relative to home. */
async function fetched(address) {
  const response = await fetch(new URL(address, base));
  if (!response.ok) throw new Error(`${address}: ${response.status}`);
  return response.arrayBuffer();
}

/** One search for the page, however many fields it has. */
export const finder = new Finder();
