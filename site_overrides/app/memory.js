// A started Python's memory without what its program already holds and without its zeros: what Node leaves out at build, the worker
// puts back once it is unpacked.
//
// A snapshot is a header, whose length is in its second word, and the memory as it was. The program's own data, 3.5 MB
// of it, lies in that memory nearly as it stands in the program's file, so the difference of the two packs far smaller. More than
// half of what is left is zeros, which pack to nothing, and yet would be written byte by byte in unpacking.
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

/** Bytes that are kept or left out together. */
const PIECE = 1024;

/**
 * `memory` without its zeros: words of 32 bits, little-endian, and the runs. The words: how long the memory is, how many runs there
 * are, and of each where it begins and how long it is.
 */
globalThis.withoutZeros = (memory) => {
  const runs = [];
  for (let at = 0; at < memory.length; at += PIECE) {
    const piece = memory.subarray(at, at + PIECE);
    if (piece.every((byte) => byte === 0)) continue;
    const last = runs.at(-1);
    if (last && last.at + last.size === at) last.size += piece.length;
    else runs.push({ at, size: piece.length });
  }
  const head = 4 * (2 + 2 * runs.length);
  const kept = new Uint8Array(runs.reduce((sum, { size }) => sum + size, head));
  const words = new DataView(kept.buffer);
  const told = [memory.length, runs.length, ...runs.flatMap(({ at, size }) => [at, size])];
  told.forEach((word, index) => words.setUint32(4 * index, word, true));
  let to = head;
  for (const { at, size } of runs) {
    kept.set(memory.subarray(at, at + size), to);
    to += size;
  }
  return kept;
};

/** The memory that `withoutZeros` made `kept` of. Raises: RangeError when it is not whole. */
globalThis.withZeros = (kept) => {
  const words = new DataView(kept.buffer, kept.byteOffset, kept.byteLength);
  const word = (index) => words.getUint32(4 * index, true);
  const memory = new Uint8Array(word(0));
  let from = 4 * (2 + 2 * word(1));
  for (let run = 0; run < word(1); run++) {
    const size = word(3 + 2 * run);
    if (from + size > kept.length) throw new RangeError("the memory ends too early");
    memory.set(kept.subarray(from, from + size), word(2 + 2 * run));
    from += size;
  }
  return memory;
};

/**
 * What zstd packed to `packed`, in the memory of its decoder: the exports of zstd.wasm. To be copied before the decoder is asked
 * again. Raises: Error when it is not whole.
 */
globalThis.unpacked = ({ memory, malloc, ZSTD_findDecompressedSize, ZSTD_decompress }, packed) => {
  const from = malloc(packed.length);
  new Uint8Array(memory.buffer, from).set(packed);
  const size = Number(ZSTD_findDecompressedSize(from, packed.length));
  if (size < 0) throw new Error("not packed by zstd, or without its size");
  const to = malloc(size);
  if (ZSTD_decompress(to, size, from, packed.length) !== size) throw new Error("damaged, or not whole");
  return new Uint8Array(memory.buffer, to, size);
};
