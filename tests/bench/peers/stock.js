// The runtime's own start: its loader, WebAssembly and standard library, then the wheel of the calculators.
self.onmessage = async ({ data }) => {
  try {
    const root = new URL("pyodide/", location.href).href;
    importScripts(`${root}pyodide.js`);
    const python = await loadPyodide({ indexURL: root });
    await python.loadPackage(new URL(`wheel/${data.wheel}`, location.href).href, { checkIntegrity: false });
    python.pyimport("calculators").bridge(data.ask);
    postMessage({});
  } catch (error) {
    postMessage({ failed: String(error) });
  }
};
