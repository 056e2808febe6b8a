// A started Python's memory without what its program already holds: what Node leaves out at build, the worker puts back.
//
// A snapshot is a header, whose length is in its second word, and the memory as it was. The program's own data, 3.5 MB
// of it, lies in that memory nearly as it stands in the program's file, so the difference of the two packs far smaller.
"use strict";

/** Where the program's data begins in memory: emscripten's first kilobyte is left free. */
const DATA_AT = 1024;

/** XOR the data segments of `program` (the bytes of a .wasm) over `snapshot`, in place; done twice, nothing has changed. */
globalThis.withoutProgram = (snapshot, program) => {
  const header = new DataView(snapshot.buffer, snapshot.byteOffset).getUint32(4, true);
  let at = 8; // past the magic number and the version
  const number = () => {
    for (let value = 0, weight = 1; ; weight *= 128) {
      const byte = program[at++];
      value += (byte & 127) * weight;
      if (byte < 128) return value;
    }
  };
  while (at < program.length) {
    const section = program[at++];
    const end = number() + at;
    if (section === 11) { // data
      for (let left = number(); left; left--) {
        if (number() !== 0) throw new Error("a data segment without a place of its own");
        const relative = program[at++] === 0x23; // global.get: from where the program is loaded
        const place = number() * (relative ? 0 : 1) + (relative ? DATA_AT : 0);
        at++; // end of the place's expression
        const size = number();
        const from = header + place;
        for (let byte = 0; byte < size; byte++) snapshot[from + byte] ^= program[at + byte];
        at += size;
      }
    }
    at = end;
  }
  return snapshot;
};
