import assert from "node:assert/strict";
import { test } from "node:test";
import { lateTables } from "./tables.mjs";

// A memory image as Go's linker writes it, as far as parting it reads: runtime.moduledata, the table of functions and what is
// known of each.
const SIZE = 2048;
const MODULE = 64;
const HEAD = 512;
const AT = { names: 72, units: 80, files: 88, pctab: 96, funcs: 160 }; // from HEAD
const GOFUNC = 1024;
const NONE = 0xffffffff;

/** stackmap writes one of n maps of so many bits. */
function stackmap(memory, at, n, bits, fill) {
  memory.writeInt32LE(n, at);
  memory.writeInt32LE(bits, at + 4);
  memory.fill(fill, at + 8, at + 8 + n * Math.ceil(bits / 8));
}

/** imageOf lays out functions: [slot, offset of its pcsp table, offsets of its funcdata]. */
function imageOf(...functions) {
  const memory = Buffer.alloc(SIZE);
  const word = (i, value) => memory.writeBigUInt64LE(BigInt(value), MODULE + 8 * i);
  word(0, HEAD);
  word(1, HEAD + AT.names);
  word(13, HEAD + AT.funcs);
  word(40, GOFUNC);
  memory.writeUInt32LE(0xfffffff1, HEAD);
  memory.set([0, 0, 1, 8], HEAD + 4);
  for (const [i, value] of [functions.length, 1, 0, ...Object.values(AT)].entries())
    memory.writeBigUInt64LE(BigInt(value), HEAD + 8 + 8 * i);
  memory.set([0, 2, 4, 0, 0, 6, 3, 8, 1, 0, 0, 2, 9, 0], HEAD + AT.pctab); // tables at 1, 5 and 11
  let at = 8 * functions.length + 8;
  for (const [i, [slot, pcsp, ...data]] of functions.entries()) {
    const func = HEAD + AT.funcs + at;
    memory.writeUInt32LE(slot, HEAD + AT.funcs + 8 * i);
    memory.writeUInt32LE(at, HEAD + AT.funcs + 8 * i + 4);
    memory.writeUInt32LE(slot, func);
    memory.writeUInt32LE(pcsp, func + 16);
    memory[func + 43] = data.length;
    for (const [k, offset] of data.entries()) memory.writeUInt32LE(offset, func + 44 + 4 * k);
    at += 44 + 4 * data.length;
  }
  stackmap(memory, GOFUNC + 16, 2, 9, 0xa1);
  stackmap(memory, GOFUNC + 64, 1, 3, 0xb2);
  stackmap(memory, GOFUNC + 96, 1, 64, 0xc3);
  return memory;
}

const late = [new Set([11])];

test("what only a late function needs is cut out, and laid back it is as it was", () => {
  const memory = imageOf([10, 1, 16, 64], [11, 5, 96, 64, NONE], [12, 11, 16]);
  const whole = Buffer.from(memory);
  const [cut] = lateTables(memory, late);
  const gone = (at) => memory[at] === 0 && whole[at] !== 0;
  assert.ok(gone(HEAD + AT.pctab + 5), "its own frame sizes");
  assert.ok(gone(GOFUNC + 96 + 8), "its own map of arguments");
  assert.equal(memory[GOFUNC + 64 + 8], 0xb2, "a map that an early function has too stays");
  assert.equal(memory[GOFUNC + 16 + 8], 0xa1);
  assert.equal(memory[HEAD + AT.pctab + 1], 2);
  for (const { at, bytes } of cut) memory.set(bytes, at);
  assert.deepEqual(memory, whole);
});

test("without late functions nothing is cut, and what is no image of Go's stays as it is", () => {
  const memory = imageOf([10, 1, 16, 64], [12, 5, 16]);
  assert.deepEqual(lateTables(memory, late), [[]]);
  assert.deepEqual(lateTables(Buffer.alloc(64, 7), late), [[]]);
});

test("what two parts need stays with the first", () => {
  const memory = imageOf([10, 1, 16], [11, 5, 96], [12, 11, 96]);
  const parts = lateTables(memory, [...late, new Set([12])]);
  assert.equal(memory[GOFUNC + 96 + 8], 0xc3);
  assert.ok(parts[0].some(({ at }) => at === HEAD + AT.pctab + 5));
  assert.ok(parts[1].some(({ at }) => at === HEAD + AT.pctab + 11));
});
