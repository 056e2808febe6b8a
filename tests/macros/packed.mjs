// node packed.mjs MODULE: {numbers, words, standings, pages} as JSON come in; each written by packed.js and read again goes out.
import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const packed = await import(pathToFileURL(process.argv[2]));
const given = JSON.parse(readFileSync(0, "utf-8"));

/** Pieces put together as the parts are, gone through JSON and UTF-8. */
function part(pieces) {
  const columns = (pieces[0] ?? []).map((first, at) => {
    const column = pieces.map((piece) => piece[at]);
    return Array.isArray(first) ? column.flat() : column.join("");
  });
  return JSON.parse(new TextDecoder().decode(new TextEncoder().encode(JSON.stringify(columns))));
}

const standing = new packed.Standing(part(given.standings.map(packed.writtenStanding)));
const often = packed.saidOften(given.pages.map(({ places }) => places), 2);
const numberOf = new Map(often.map((phrase, number) => [phrase, number]));
const texts = new packed.Texts(part(given.pages.map(({ url, places }) => packed.writtenPage(url, places, numberOf))), often);
const refused = [-1, 0.5, 0x2000 * 0x8000, "a"].filter((one) => {
  try {
    return packed.written([one]) && false;
  } catch (error) {
    return error instanceof RangeError;
  }
});
writeFileSync(1, JSON.stringify({
  numbers: given.numbers.map((list) => packed.numbers(part([[packed.written(list)]])[0])),
  words: given.words.map((list) => packed.readWords(packed.writtenWords(list))),
  standings: given.standings.map((_fields, word) => Object.fromEntries(
    standing.of(word).map(([field, pages]) => [field, Object.fromEntries(pages)]))),
  pages: given.pages.map((_page, number) => texts.of(number)),
  often, refused: refused.length,
}));
