import assert from "node:assert/strict";
import { test } from "node:test";
import { takeTexts } from "./texts.mjs";

const rows = [
  ["a.first", "One thing", "Una cosa"],
  ["a.second", "Another thing.", "Otra cosa más"],
];
const strings = ["One thing", "a.first", "Una cosa", "a.second is not it", "a.second", "Another thing.", "Otra cosa más"];

/** A memory with strings from 64 on, and with the table at 512. @param {string[][]} table */
function memoryWith(table) {
  const memory = Buffer.alloc(1024);
  const places = new Map();
  let at = 64;
  for (const text of strings) {
    places.set(text, at);
    at += memory.write(text, at);
  }
  table.flat().forEach((text, i) => {
    memory.writeBigUInt64LE(BigInt(places.get(text)), 512 + 16 * i);
    memory.writeBigUInt64LE(BigInt(Buffer.byteLength(text)), 520 + 16 * i);
  });
  return { memory, places };
}

test("a table's texts are taken out, and put back they are the memory that was", () => {
  const { memory, places } = memoryWith(rows);
  const before = Buffer.from(memory);
  const taken = takeTexts(memory, [rows], () => true);
  assert.ok(memory.subarray(512, 512 + 96).every((b) => b === 0));
  assert.ok(!memory.includes("Another thing."));
  assert.ok(memory.includes("a.second is not it"), "what is not the table's stays");
  assert.deepEqual(
    taken.map(({ at }) => at),
    [...taken.map(({ at }) => at)].sort((a, b) => a - b),
  );
  for (const { at, bytes } of taken) memory.set(bytes, at);
  assert.deepEqual(memory, before);
  assert.ok(taken.some(({ at }) => at === places.get("Otra cosa más")));
});

test("a text that something else means too stays where it is, and so does a short one", () => {
  const { memory } = memoryWith(rows);
  const taken = takeTexts(memory, [rows], (text) => text !== "One thing");
  assert.ok(memory.includes("One thing"));
  assert.ok(memory.includes("a.first"));
  assert.ok(!taken.some(({ bytes }) => bytes.includes("One thing")));
});

test("a table that says something else than its source is not taken but told", () => {
  const { memory } = memoryWith(rows);
  const before = Buffer.from(memory);
  assert.throws(() => takeTexts(memory, [[rows[0], ["a.second", "Another thing.", "Otra cosa"]]], () => true), /begins with a\.first/);
  assert.deepEqual(memory, before);
});
