// The least that an answer from a shared worker can take: what is typed goes there and back, and nothing is worked out.
const worker = new SharedWorker("round_worker.js");
worker.port.onmessage = ({ data }) => { document.querySelector(".answer").textContent = data; };
document.querySelector("input").addEventListener("input", ({ target }) => worker.port.postMessage(target.value));
