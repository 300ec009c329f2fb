import assert from "node:assert/strict";
import { test } from "node:test";
import { slim } from "./slim.mjs";

const text = (...bytes) => Uint8Array.from(bytes.flat());
const header = [0, 0x61, 0x73, 0x6d, 1, 0, 0, 0];
const memory = [5, 3, 1, 0, 1, 7, 5, 1, 1, 0x6d, 2, 0]; // one page, exported as "m"

/** A module whose data section holds these segments: [address, bytes]. */
function moduleOf(...segments) {
  const body = [segments.length, ...segments.flatMap(([at, bytes]) => [0, 0x41, ...leb(at), 0x0b, bytes.length, ...bytes])];
  return text(header, memory, [11, body.length, ...body]);
}
const leb = (n) => (n < 64 ? [n] : [(n % 128) | 128, ...leb(Math.floor(n / 128))]);

async function memoryOf(wasm) {
  const { instance } = await WebAssembly.instantiate(wasm);
  return new Uint8Array(instance.exports.m.buffer);
}

/** How many segments the data section has. */
const segmentsOf = (wasm) => wasm[wasm.indexOf(11, 20) + 2];

test("segments that lie near each other are joined, and the memory stays what it was", async () => {
  const many = moduleOf([8, [1, 2]], [16, [3]], [100, [4]], [400, [5, 6]]);
  const few = slim(many);
  assert.equal(segmentsOf(few), 3);
  assert.deepEqual(await memoryOf(few), await memoryOf(many));
});

test("a gap of sixty-three zeros is written out, one of sixty-four is not", async () => {
  for (const [gap, want] of [
    [63, 1],
    [64, 2],
  ]) {
    const wasm = moduleOf([8, [1]], [9 + gap, [1]]);
    assert.equal(segmentsOf(slim(wasm)), want, `gap of ${gap}`);
    assert.deepEqual(await memoryOf(slim(wasm)), await memoryOf(wasm));
  }
});

test("a segment that is not Go's is refused", () => {
  const passive = text(header, memory, [11, 4, 1, 1, 1, 7]);
  assert.throws(() => slim(passive), /of a kind that Go does not write/);
});
