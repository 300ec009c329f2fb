import assert from "node:assert/strict";
import { test } from "node:test";
import { geometry, labels, railInstant } from "./rail_geometry.js";

const min = 60_000;
const hour = 60 * min;
// Made up: a cook, a marinade and a hold, as in the look.
const cook = { began: 0, floor: 10 * min, bestFrom: 10.5 * min, lastCall: 11.5 * min, bestUntil: 12 * min, ceiling: 13 * min, aria: "" };
const marinade = {
  began: 0,
  floor: 7 * hour,
  bestFrom: 9 * hour,
  lastCall: 12.5 * hour,
  bestUntil: 13 * hour,
  ceiling: 20 * hour,
  aria: "",
};
const hold = { began: 0, lastCall: 35 * min, bestUntil: 40 * min, ceiling: 50 * min, aria: "" };

const states = (/** @type {any} */ g) => g.boxes.map((/** @type {any} */ box) => box.state);

test("the silhouette runs from low deck to netting without a gap", () => {
  const g = geometry(marinade, 3 * hour, 328);
  assert.deepEqual(states(g), ["soon", "ready", "best", "last", "last", "past"]);
  assert.equal(g.boxes[0].x, 0);
  for (let i = 1; i < g.boxes.length; i++) assert.ok(Math.abs(g.boxes[i].x - (g.boxes[i - 1].x + g.boxes[i - 1].w)) < 1e-9);
  const end = g.boxes[g.boxes.length - 1];
  assert.ok(Math.abs(end.x + end.w - 100) < 1e-9);
  assert.ok(Math.abs(/** @type {number} */ (g.post) - 100 / 1.07) < 1e-9);
});

test("a state that a window does not have is not drawn", () => {
  assert.deepEqual(states(geometry(hold, 10 * min, 328)), ["best", "last", "last", "past"]);
  assert.deepEqual(states(geometry({ began: 0, floor: 45 * min, aria: "" }, min, 328)), ["soon", "best"]);
  assert.equal(geometry({ began: 0, floor: 45 * min, aria: "" }, min, 328).post, undefined);
});

test("past its limit the rail grows, and the mark for now stays on it", () => {
  const g = geometry(hold, 80 * min, 328);
  assert.ok(Math.abs(g.now - 100 / 1.03) < 1e-9);
  assert.ok(/** @type {number} */ (g.post) < g.now);
});

test("before its beginning the mark for now stands at the beginning", () => {
  assert.equal(geometry({ ...hold, began: 1000 }, 0, 328).now, 0);
});

test("a rail whose best would be too narrow is cut, stays linear, and keeps now on it", () => {
  const short = { ...cook, lastCall: 11.25 * min };
  const g = geometry(short, 11.5 * min, 328);
  assert.equal(g.cut, true);
  assert.ok(g.now > 0 && g.now < 100);
  const [a, b, c] = [g.x(10 * min), g.x(11 * min), g.x(12 * min)];
  assert.ok(Math.abs(b - a - (c - b)) < 1e-9);
  assert.equal(geometry(short, 11.5 * min, 1800).cut, false);
});

test("a cut never puts now off the rail, however early it is", () => {
  for (let t = 0; t <= 14 * min; t += 7000) {
    const g = geometry({ ...cook, lastCall: 11.25 * min }, t, 328);
    assert.ok(g.now >= 0 && g.now <= 100, `at ${t}: ${g.now}`);
  }
});

test("it moves each second near an edge, each minute far from all of them", () => {
  assert.equal(railInstant(marinade, 3 * hour + 59_999), 3 * hour);
  assert.equal(railInstant(marinade, 7 * hour - 90_400), 7 * hour - 91_000);
  assert.equal(railInstant(cook, 11 * min + 1999), 11 * min + 1000);
});

test("numbers under a rail never touch and never leave it", () => {
  for (const [rail, width] of /** @type {[any, number][]} */ ([
    [cook, 328],
    [cook, 288],
    [marinade, 328],
    [marinade, 256],
    [hold, 328],
  ])) {
    const words = { floor: "floor", bestFrom: "best from", until: "until", limit: "limit" };
    const g = geometry(rail, rail.bestFrom ?? 0, width);
    const all = labels({ ...rail, words }, g.x, width, { offset: 0, textScale: 1 });
    assert.ok(all.length >= 2);
    const centre = (/** @type {any} */ l) => (l.x / 100) * width + l.dx;
    for (let i = 1; i < all.length; i++) assert.ok(centre(all[i]) - centre(all[i - 1]) > 40, `${all[i - 1].text} and ${all[i].text}`);
    for (const l of all) assert.ok(centre(l) > 10 && centre(l) < width - 10);
  }
});

test("on overnight waits the numbers are times of day", () => {
  const began = Date.UTC(2026, 10, 26, 0, 40);
  const rail = { ...marinade, began, clocks: /** @type {1} */ (1), words: { limit: "limit" } };
  const g = geometry(rail, began, 328);
  const all = labels(rail, g.x, 328, { offset: -300, textScale: 1 });
  assert.equal(all[all.length - 1].text, "15:40");
});

test("the words under a rail stand apart in Spanish too, whose m is wide", () => {
  const words = { floor: "mínimo", bestFrom: "óptimo de", until: "hasta", limit: "límite" };
  const measured = { mínimo: 54, "óptimo de": 73.5, hasta: 38.25, límite: 42 }; // px of B612 at 15 px, in Chromium
  for (const rail of [cook, marinade]) {
    const width = 328;
    const g = geometry(rail, rail.bestFrom, width);
    const all = labels({ ...rail, words }, g.x, width, { offset: 0, textScale: 1 });
    const centre = (/** @type {any} */ l) => (l.x / 100) * width + l.dx;
    const wide = (/** @type {any} */ l) => /** @type {Record<string, number>} */ (measured)[l.cap];
    for (let i = 1; i < all.length; i++) {
      const gap = centre(all[i]) - wide(all[i]) / 2 - centre(all[i - 1]) - wide(all[i - 1]) / 2;
      assert.ok(gap >= 5, `${gap} px between ${all[i - 1].cap} and ${all[i].cap}`);
    }
  }
});
