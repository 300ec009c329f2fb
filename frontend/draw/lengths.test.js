import assert from "node:assert/strict";
import { test } from "node:test";
import { texts } from "./countdown.js";
import { counting, machineTime, standing, timeOfDay, written } from "./lengths.js";

const min = 60_000;
const plain = (/** @type {string} */ text) => text.replaceAll("\u00a0", " ");

test("a length counts in seconds below ten minutes, then in minutes, then in hours", () => {
  const cases = /** @type {[number, string][]} */ ([
    [0, "0:00"],
    [1, "0:01"],
    [30_000, "0:30"],
    [9 * min + 59_000, "9:59"],
    [10 * min, "10 min"],
    [59 * min + 59_000, "59 min"],
    [60 * min, "1 h 00"],
    [161 * min, "2 h 41"],
    [1562 * min, "26 h 02"],
  ]);
  for (const [ms, want] of cases) assert.equal(plain(counting(ms)), want);
});

test("what is over counts whole seconds gone, what is left counts seconds begun", () => {
  assert.equal(counting(999, true), "0:00");
  assert.equal(counting(1000, true), "0:01");
  assert.equal(counting(999), "0:01");
});

test("a countdown turns over at its instant", () => {
  const it = { at: 100_000, pre: "ready in ", post: " left", overPost: " over" };
  assert.deepEqual(texts(it, 99_000), ["ready in ", "0:01", " left"]);
  assert.deepEqual(texts(it, 100_000), ["", "0:00", " over"]);
});

test("marks of a rail stand in minutes and seconds, or in hours", () => {
  assert.equal(standing(630_000, true), "10:30");
  assert.equal(plain(standing(40 * min, false)), "40 min");
  assert.equal(plain(standing(105 * min, false)), "1 h 45");
  assert.equal(plain(standing(600 * min, false)), "10 h");
});

test("wall time is the kitchen's, whatever the device's zone", () => {
  const at = Date.UTC(2026, 10, 26, 16, 38);
  assert.equal(timeOfDay(at, -300), "11:38");
  assert.equal(timeOfDay(at, 60), "17:38");
  assert.equal(timeOfDay(at, 345), "22:23");
  assert.equal(machineTime(at, -300), "2026-11-26T11:38-05:00");
  assert.equal(machineTime(at, 345), "2026-11-26T22:23+05:45");
});

test("typed numbers are written with the language's own sign", () => {
  assert.equal(written("74.5", ","), "74,5");
  assert.equal(written("-2.1", "."), "\u22122.1");
});
