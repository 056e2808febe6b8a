// Before app/boot.js in the folder edition, which is opened from a disk. There browsers load no module, no worker and no
// file by its address; classic scripts they do. So all is held in scripts: the modules as text, other files as base64 of
// gzip in a script each (`held/`), loaded when they are asked for. macros/stick.py puts them together.
//
// self.handbookHeld = {scripts: {"app/main.js": text}, top: "scripts/HASH/", files: {"find.json": "held/1.js"}}
(function () {
  "use strict";
  const { scripts, top, files } = self.handbookHeld;
  const base = new URL(document.documentElement.dataset.base, location.href).href;
  const network = self.fetch.bind(self);
  const waiting = new Map(); // name -> what is called with its base64

  /** What stands for import.meta.url in the module `name`. */
  self.handbookAt = (name) => base + top + name;

  /** Called by a script of `held/` with the file that it holds. */
  self.handbookHold = (name, text) => waiting.get(name)?.(text);

  function held(name) {
    return new Promise((resolve, reject) => {
      waiting.set(name, resolve);
      const script = document.createElement("script");
      script.src = base + files[name];
      script.onerror = () => reject(new TypeError(`not in this folder: ${name}`));
      script.onload = () => script.remove();
      document.head.append(script);
    });
  }

  async function bytesOf(name) {
    const packed = await (await network(`data:application/gzip;base64,${await held(name)}`)).blob();
    return new Response(packed.stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
  }

  self.fetch = async (input, options) => {
    const address = String(input.url || input).split(/[?#]/)[0];
    const name = address.startsWith(base) ? address.slice(base.length) : "";
    if (name.startsWith(top) && Object.hasOwn(scripts, name.slice(top.length))) return new Response(scripts[name.slice(top.length)]);
    return Object.hasOwn(files, name) ? new Response(await bytesOf(name)) : network(input, options);
  };

  /** In the place of import() of main.js: every module gets an address of its own, and they find each other by a map. */
  self.handbookLoad = () => {
    const imports = {};
    for (const [name, text] of Object.entries(scripts)) {
      const address = URL.createObjectURL(new Blob([text], { type: "text/javascript" }));
      imports[`handbook/${name}`] = address;
      // The same from another folder: "handbook/app/../record/store.js".
      for (const folder of new Set(Object.keys(scripts).map((other) => other.split("/")[0]))) imports[`handbook/${folder}/../${name}`] = address;
    }
    const map = document.createElement("script");
    map.type = "importmap";
    map.textContent = JSON.stringify({ imports });
    document.head.append(map);
    return import("handbook/app/main.js");
  };

  // A folder's address shows its files: links that scripts make lead to the page in it, as the pages' own do already.
  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a[href]");
    if (link?.href.startsWith(base) && link.pathname.endsWith("/")) link.pathname += "index.html";
  }, true);
})();
