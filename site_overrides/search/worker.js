// The search in a worker of its own, so that the page never waits for it. What it needs is fetched by the page, since not
// every browser lets a worker's fetch reach what is saved.
//
// in:  {kind: "open", bytes: index.json} {kind: "find", number, words, most} {kind: "part", address, bytes: null where it is not to be had}
// out: {kind: "awake"} {kind: "ready"} {kind: "need", address} {kind: "found", number, hits} {kind: "failed", detail}
// Of questions that wait only the last is answered.
import { Engine } from "./engine.js";
// What the engine stands on, named here too: the browser fetches all of it at once.
import "./minisearch.js";
import "./packed.js";
import "./places.js";
import "./synonyms.js";
import "./terms.js";
import "./stemmer.js";
import "./stopwords.js";

const text = (bytes) => new TextDecoder().decode(bytes);
const needed = new Map(); // address -> what is called with its bytes
let engine = null;
let asked = null;
let busy = false;

function load(address) {
  return new Promise((resolve, reject) => {
    needed.set(address, (bytes) => (bytes ? resolve(text(bytes)) : reject(new Error(`not to be had: ${address}`))));
    postMessage({ kind: "need", address });
  });
}

async function answer() {
  if (busy) return;
  busy = true;
  try {
    while (asked && engine) {
      const { number, words, most } = asked;
      asked = null;
      const hits = await engine.find(words, most);
      if (!asked) postMessage({ kind: "found", number, hits });
    }
  } catch (error) {
    postMessage({ kind: "failed", detail: String(error.message || error) });
  }
  busy = false;
}

self.onmessage = ({ data }) => {
  if (data.kind === "part") {
    needed.get(data.address)?.(data.bytes);
    needed.delete(data.address);
  } else if (data.kind === "find") {
    asked = data;
    setTimeout(answer); // after the messages that wait already
  } else {
    try {
      engine = new Engine(text(data.bytes), load);
      postMessage({ kind: "ready" });
    } catch (error) {
      postMessage({ kind: "failed", detail: String(error.message || error) });
    }
  }
};

postMessage({ kind: "awake" });
