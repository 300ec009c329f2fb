import assert from "node:assert/strict";
import { test } from "node:test";
import { join, readKept, readOutcome, split, writeKept, writeStored } from "./sections.js";

const text = (value) => new TextEncoder().encode(typeof value === "string" ? value : JSON.stringify(value));
const id = (n) => new Uint8Array(16).fill(n);
const kept = (seq, n, size = 3) => ({ seq, id: id(n), record: new Uint8Array(size).fill(n) });
const wake = (n) => {
  const out = new Uint8Array(8);
  new DataView(out.buffer).setBigUint64(0, BigInt(n), true);
  return out;
};

test("a kept record comes back as it went, numbers beyond 32 bits too", () => {
  for (const seq of [0, 1, 2 ** 31, 2 ** 40 + 7]) assert.deepEqual(readKept(writeKept(kept(seq, 9))), kept(seq, 9));
});

test("sections lie as tag, little-endian length, payload", () => {
  const bytes = join([["S", new Uint8Array([7, 8])]]);
  assert.deepEqual([...bytes], ["S".charCodeAt(0), 2, 0, 0, 0, 7, 8]);
});

test("an outcome is read whole, and unknown tags are passed over", () => {
  const outcome = readOutcome(
    join([
      ["B", text("state")],
      ["T", writeKept(kept(4, 1))],
      ["K", writeKept(kept(0, 2))],
      ["M", text("memory")],
      ["S", text("one")],
      ["S", text("two")],
      ["X", text("hash differs")],
      ["C", text({ kitchen: 5, mono: 6, pace: 1, wall: 7, bound: 8 })],
      ["R", text({ now: [], book: [] })],
      ["D", text({ view: "v", path: "/" })],
      ["N", text("a note")],
      ["W", wake(1_790_000_000_123)],
      ["?", text("from a newer core")],
    ]),
  );
  assert.deepEqual(outcome.base, { state: text("state"), tail: [kept(4, 1)] });
  assert.deepEqual(outcome.keep, [kept(0, 2)]);
  assert.deepEqual(outcome.memory, text("memory"));
  assert.deepEqual(outcome.send, [text("one"), text("two")]);
  assert.equal(outcome.cut, "hash differs");
  assert.equal(outcome.clock.kitchen, 5);
  assert.deepEqual(outcome.ring, { now: [], book: [] });
  assert.deepEqual(outcome.draw, [{ view: "v", path: "/" }]);
  assert.deepEqual(outcome.notes, ["a note"]);
  assert.equal(outcome.wake, 1_790_000_000_123);
  assert.equal(outcome.fault, "");
});

test("a fault carries its words", () => {
  assert.equal(readOutcome(join([["F", text({ text: "index out of range" })]])).fault, "index out of range");
});

test("what the shelf holds is a start's blob: base, tail, memory", () => {
  const tags = [];
  split(writeStored({ base: text("b"), tail: [kept(1, 1), kept(0, 2)], memory: text("m") }), (tag) => tags.push(tag));
  assert.deepEqual(tags, ["B", "T", "T", "M"]);
  assert.equal(writeStored({ base: null, tail: [], memory: null }).length, 0);
});

test("bytes that are cut short are refused with how much is missing", () => {
  const whole = join([["S", new Uint8Array(10)]]);
  assert.throws(() => readOutcome(whole.subarray(0, 3)), /3 bytes left over, a head needs 5/);
  assert.throws(() => readOutcome(whole.subarray(0, 12)), /10 bytes promised, 7 there/);
  assert.throws(() => readOutcome(join([["K", new Uint8Array(23)]])), /23 bytes, at least 24/);
  assert.throws(() => readOutcome(join([["T", writeKept(kept(1, 1))]])), /before its base/);
});

test("payloads do not share memory with the core's answer", () => {
  const bytes = join([
    ["K", writeKept(kept(3, 4))],
    ["M", text("memory")],
    ["S", text("frame")],
  ]);
  const outcome = readOutcome(bytes);
  bytes.fill(0);
  assert.deepEqual(outcome.keep[0], kept(3, 4));
  assert.deepEqual(outcome.memory, text("memory"));
  assert.deepEqual(outcome.send[0], text("frame"));
});
