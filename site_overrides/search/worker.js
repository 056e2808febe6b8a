// The search in a worker of its own, so that the page never waits for it.
//
// in:  {kind: "open", bytes: index.json} {kind: "find", number, words, most}
// out: {kind: "ready"} {kind: "found", number, hits} {kind: "failed", detail}; of questions that wait only the last is answered
import { Engine } from "./engine.js";

let engine = null;
let asked = null;

function answer() {
  if (!asked || !engine) return;
  const { number, words, most } = asked;
  asked = null;
  postMessage({ kind: "found", number, hits: engine.find(words, most) });
}

self.onmessage = ({ data }) => {
  try {
    if (data.kind === "open") {
      engine = new Engine(new TextDecoder().decode(data.bytes));
      postMessage({ kind: "ready" });
    } else {
      asked = data;
      setTimeout(answer);  // after the messages that wait already
    }
  } catch (error) {
    postMessage({ kind: "failed", detail: String(error.message || error) });
  }
};
