import assert from "node:assert/strict";
import { test } from "node:test";
import { joinSegments } from "./segments.mjs";

const leb = (n) => (n < 128 ? [n] : [(n % 128) + 128, ...leb(Math.floor(n / 128))]);
const sleb = (n) => (n < 64 ? [n] : [(n % 128) + 128, ...sleb(Math.floor(n / 128))]);
const section = (id, body) => [id, ...leb(body.length), ...body];

/** A module with one exported page of memory and these segments. */
function moduleOf(segments) {
  const name = [..."m"].map((c) => c.charCodeAt(0));
  const data = segments.flatMap(([offset, bytes]) => [0, 0x41, ...sleb(offset), 0x0b, ...leb(bytes.length), ...bytes]);
  return Buffer.from([
    ...[0, 0x61, 0x73, 0x6d, 1, 0, 0, 0],
    ...section(5, [1, 0, 2]),
    ...section(7, [1, name.length, ...name, 2, 0]),
    ...section(11, [...leb(segments.length), ...data]),
  ]);
}

const memoryOf = (wasm) => new Uint8Array(new WebAssembly.Instance(new WebAssembly.Module(wasm)).exports.m.buffer);

test("memory begins the same, whatever lies between the segments", () => {
  let seed = 3;
  const chance = (n) => {
    seed = (seed * 1_103_515_245 + 12_345) % 2 ** 31;
    return seed % n;
  };
  for (let round = 0; round < 50; round++) {
    const segments = [];
    for (let at = chance(200); at < 120_000; at += 1 + chance(round % 2 ? 300 : 9_000)) {
      const bytes = Array.from({ length: 1 + chance(40) }, () => 1 + chance(255));
      segments.push([at, bytes]);
      at += bytes.length;
    }
    const before = moduleOf(segments);
    const after = joinSegments(before);
    assert.ok(Buffer.from(memoryOf(after)).equals(Buffer.from(memoryOf(before))), `round ${round}`);
  }
});

test("near segments become one, far ones stay apart", () => {
  const near = moduleOf([
    [8, [1]],
    [20, [2]],
    [4_000, [3]],
  ]);
  const whole = Array.from({ length: 3_993 }, (_, i) => ({ 0: 1, 12: 2, 3992: 3 })[i] ?? 0);
  assert.deepEqual(joinSegments(near), moduleOf([[8, whole]]));
  const far = moduleOf([
    [8, [1]],
    [60_000, [2]],
  ]);
  assert.deepEqual(joinSegments(far), far);
});

test("a segment of a kind that is not known is refused, not broken", () => {
  const wasm = moduleOf([[8, [1]]]);
  wasm[wasm.length - 5] = 0x42;
  assert.throws(() => joinSegments(wasm), /only active ones/);
});
