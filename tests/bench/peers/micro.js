// MicroPython, for scale: it knows nothing of the calculators, and answers one sum.
self.onmessage = async () => {
  try {
    const { loadMicroPython } = await import(new URL("micro/micropython.mjs", location.href));
    const python = await loadMicroPython({ url: new URL("micro/micropython.wasm", location.href).href });
    python.runPython("1 + 1");
    postMessage({});
  } catch (error) {
    postMessage({ failed: String(error) });
  }
};
