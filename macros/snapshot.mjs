// Starts the browser's Python in Node, imports the calculators, lets each answer its example, and keeps the memory.
//
// node snapshot.mjs FOLDER STDLIB WHEEL MEMORY.js OUT: FOLDER has the runtime's loader and program; STDLIB and WHEEL hold
// sources, so that the memory does not depend on the Python that builds; OUT is packed by zstd.
import { createRequire } from "node:module";
import { readFileSync, writeFileSync } from "node:fs";
import { basename } from "node:path";
import { constants, zstdCompressSync } from "node:zlib";

const [folder, stdlib, wheel, shared, out] = process.argv.slice(2);
// Nothing of chance, time and place in the memory: the same sources give the same bytes.
process.argv = [process.argv[0], "python"];
crypto.getRandomValues = (array) => {
  new Uint8Array(array.buffer, array.byteOffset, array.byteLength).fill(7);
  return array;
};
Date.now = () => 0;
performance.now = () => 0;

/** Modules of the standard library whose contents are not carried: processes, sockets, archives and HTML's list of characters. */
const UNUSED = ["html.entities", "subprocess", "tempfile", "shutil", "bz2", "zipfile._path", "asyncio.sslproto", "asyncio.subprocess",
  "asyncio.base_subprocess", "asyncio.unix_events", "asyncio.streams", "asyncio.staggered"];

createRequire(import.meta.url)(shared);
const { loadPyodide } = createRequire(import.meta.url)(`${folder}/pyodide.js`);
const { info } = JSON.parse(readFileSync(`${folder}/pyodide-lock.json`));
const python = await loadPyodide({
  indexURL: `${folder}/`, stdLibURL: stdlib, lockFileContents: { info, packages: {} }, packageBaseUrl: `${folder}/`,
  // No docstrings in memory, and no random hashes.
  env: { PYTHONHASHSEED: "0", PYTHONOPTIMIZE: "2", PYTHONDONTWRITEBYTECODE: "1" }, _makeSnapshot: true,
});
const place = `/tmp/${basename(wheel)}`;
python.FS.writeFile(place, readFileSync(wheel));
python.runPython(`
import ast, gc, importlib, json, linecache, random, re, sys, zipfile, zipimport
random.seed(0)  # the runtime's own imports seed it by chance; the calculators draw no random numbers
sys.path.insert(0, "${place}")
import calculators
with zipfile.ZipFile("${place}") as wheel:
    for name in wheel.namelist():
        if not name.endswith(".py"):
            continue
        importlib.import_module(name.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
        # What a function imports only when it is called has to be in memory too: afterwards there is no library to import from.
        for node in ast.walk(ast.parse(wheel.read(name))):
            if isinstance(node, ast.Import):
                [importlib.import_module(one.name) for one in node.names]
            elif isinstance(node, ast.ImportFrom) and not node.level:
                importlib.import_module(node.module)
for id in calculators.REGISTER:
    one = calculators.calculator(id)
    for inputs in [one.example, *(inputs for _name, inputs in one.examples)]:
        calculators.bridge(json.dumps({"id": id, "inputs": inputs, "units": {}}))
sys.path.remove("${place}")
# What the runtime and html import at their start and no calculator asks for. The words of a module go, the module stays.
for name in ${JSON.stringify(UNUSED)}:
    vars(sys.modules[name]).clear()
del sys.modules["html"]._html5
sys.path_importer_cache.clear()
zipimport._zip_directory_cache.clear()
linecache.clearcache()
re.purge()
sys._clear_internal_caches()
gc.collect()
# What was freed keeps its old bytes, which would be packed and carried: written over here, small pieces first.
held = [[bytes(size) for _ in range(400)] for size in range(1, 480, 16)]
del held, one, id, inputs, name, node, wheel, ast, gc, importlib, json, linecache, random, re, zipfile, zipimport
`);
clear(python._module);
const snapshot = python.makeMemorySnapshot();
withoutProgram(snapshot, readFileSync(`${folder}/pyodide.asm.wasm`));
writeFileSync(out, zstdCompressSync(withoutZeros(snapshot), {
  params: { [constants.ZSTD_c_compressionLevel]: 19, [constants.ZSTD_c_windowLog]: 23 },
}));

/** Fill every free piece of the heap with zeros, without making it larger. */
function clear(module) {
  const top = module._sbrk(0);
  const held = [];
  for (let size = 1 << 20; size >= 32; size >>= 1) {
    for (;;) {
      const place = module._PyMem_RawMalloc(size);
      if (!place || place + size > top) {
        if (place) module._PyMem_RawFree(place);
        break;
      }
      module.HEAPU8.fill(0, place, place + size);
      held.push(place);
    }
  }
  held.forEach((place) => module._PyMem_RawFree(place));
}
