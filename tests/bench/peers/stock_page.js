// The peer of the start: the runtime as its package brings it, in a worker, with our wheel loaded and asked once.
const worker = new Worker(new URLSearchParams(location.search).get("worker"), { type: "classic" });
worker.onmessage = ({ data }) => {
  if (data.failed) throw new Error(data.failed);
  bench.python.ready = performance.now();
};
bench.python.starting = performance.now();
worker.postMessage(Object.fromEntries(new URLSearchParams(location.search)));
