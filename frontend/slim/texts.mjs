// Takes texts that no first screen says out of the memory image of a Go wasm, so that they come with its rest.
//
// A table of texts is an array of rows, each three Go strings: their addresses and lengths, 8 bytes each, low byte first. It is
// found by its first row and believed only when every row of it says what the source says. Whoever asks for such a table must be
// late himself (part.mjs): then the rest, and with it these bytes, is in before they are read.

/** @typedef {{at: number, bytes: Uint8Array}} Piece bytes at an address of the memory */

const STRING = 16;
const LEAST = 8; // bytes of a text that is worth a segment of its own

/**
 * takeTexts empties tables and their texts in a memory image, and returns what stood there.
 * @param {Buffer} memory
 * @param {string[][][]} tables their rows
 * @param {(text: string) => boolean} alone whether nothing but its table can mean a text: Go writes equal ones once
 * @returns {Piece[]}
 */
export function takeTexts(memory, tables, alone) {
  /** @type {Map<number, number>} */
  const ranges = new Map();
  for (const rows of tables) {
    const at = findTable(memory, rows);
    if (at < 0) throw new Error(`slim: the table of texts that begins with ${rows[0]?.[0]} is not in the memory as its source has it`);
    const texts = rows.flat();
    ranges.set(at, STRING * texts.length);
    texts.forEach((text, i) => {
      const [from, size] = stringAt(memory, at + STRING * i);
      if (size >= LEAST && /[ .]|[^\x20-\x7e]/.test(text) && alone(text)) ranges.set(from, size);
    });
  }
  return [...ranges]
    .sort(([a], [b]) => a - b)
    .map(([at, size]) => {
      const bytes = Buffer.from(memory.subarray(at, at + size));
      memory.fill(0, at, at + size);
      return { at, bytes };
    });
}

/** @param {Buffer} memory @param {number} at @returns {[number, number]} address and length, 0 and -1 where there is none */
function stringAt(memory, at) {
  const [from, size] = [memory.readBigUInt64LE(at), memory.readBigUInt64LE(at + 8)];
  return from + size <= memory.length ? [Number(from), Number(size)] : [0, -1];
}

/** @param {Buffer} memory @param {string[][]} rows */
function findTable(memory, rows) {
  const texts = rows.flat().map((text) => Buffer.from(text));
  const says = (/** @type {number} */ at) =>
    at + STRING * texts.length <= memory.length &&
    texts.every((text, i) => {
      const [from, size] = stringAt(memory, at + STRING * i);
      return size === text.length && text.equals(memory.subarray(from, from + size));
    });
  const head = Buffer.alloc(STRING);
  for (let from = memory.indexOf(texts[0]); from >= 0; from = memory.indexOf(texts[0], from + 1)) {
    head.writeBigUInt64LE(BigInt(from), 0);
    head.writeBigUInt64LE(BigInt(texts[0].length), 8);
    for (let at = memory.indexOf(head); at >= 0; at = memory.indexOf(head, at + 1)) if (says(at)) return at;
  }
  return -1;
}
