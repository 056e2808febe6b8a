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
    const response = await fetch(new URL("search/index.json", base));
    if (!response.ok) throw new Error(`index.json: ${response.status}`);
    const bytes = await response.arrayBuffer();
    try {
      return await this.#inWorker(bytes.slice(0));
    } catch {
      // A browser without such workers, or one that cannot start them without a network: then in the page itself.
      const { Engine } = await import("./engine.js");
      const engine = new Engine(new TextDecoder().decode(bytes));
      return (_number, words, most) => engine.find(words, most);
    }
  }

  async #inWorker(bytes) {
    const worker = new Worker(new URL("worker.js", import.meta.url), { type: "module" });
    await new Promise((started, failed) => {
      worker.onmessage = ({ data }) => (data.kind === "ready" ? started() : failed(new Error(data.detail)));
      worker.onerror = (event) => {
        event.preventDefault?.();
        failed(new Error("worker"));
      };
      worker.postMessage({ kind: "open", bytes }, [bytes]);
    });
    worker.onmessage = ({ data }) => this.#heard(data);
    worker.onerror = () => this.#fail();
    return (number, words, most) => {
      this.#waiting?.resolve(null);
      return new Promise((resolve, reject) => {
        this.#waiting = { number, resolve, reject };
        worker.postMessage({ kind: "find", number, words, most });
      });
    };
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

/** One search for the page, however many fields it has. */
export const finder = new Finder();
