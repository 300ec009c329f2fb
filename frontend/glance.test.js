import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";

const store = new Map();
globalThis.localStorage = {
  getItem: (name) => store.get(name) ?? null,
  setItem: (name, value) => store.set(name, value),
  removeItem: (name) => store.delete(name),
};
const glance = await import("./glance.js");
const { mono } = await import("./bell.js");

const screen = (path, more = {}) => ({ path, view: "v", title: path, now: { kitchen: 5_000_000, mono: mono(), pace: 1 }, ...more });

beforeEach(() => {
  glance.forget();
  store.clear();
});

test("a place comes back as it was seen, without what was about to be undone or was refused", () => {
  glance.keepScreen(screen("/hold", { undo: { text: "Sold 1" }, refusal: { text: "no" }, parts: [1] }));
  glance.keep();
  const { now, ...rest } = glance.lastScreen("/hold");
  assert.deepEqual(rest, { path: "/hold", title: "/hold", parts: [1] });
  assert.ok(Math.abs(now.kitchen - 5_000_000) < 1_000);
});

test("kitchen time has gone on since, at the kitchen's pace", () => {
  const { now: real } = Date;
  const drawn = screen("/", { now: { kitchen: 1_000, mono: mono(), pace: 10 } });
  glance.keepScreen(drawn);
  glance.keepRing({ now: [], next: [{ key: "a" }] }, drawn.now);
  glance.keep();
  const at = real();
  Date.now = () => at + 6_000;
  try {
    for (const { now } of [glance.lastScreen("/"), glance.lastRing()]) assert.ok(Math.abs(now.kitchen - 61_000) < 1_000, now.kitchen);
  } finally {
    Date.now = real;
  }
  assert.deepEqual(glance.lastRing().ring.next, [{ key: "a" }]);
});

test("of a place never seen the Line is shown, under the place's own address", () => {
  assert.equal(glance.lastScreen("/lists"), null);
  glance.keepScreen(screen("/"));
  glance.keep();
  assert.deepEqual([glance.lastScreen("/lists").path, glance.lastScreen("/lists").title], ["/lists", "/"]);
});

test("six places are kept, those looked at last", () => {
  for (let i = 0; i < 9; i++) {
    glance.keepScreen(screen(`/batch/${i}`));
    glance.keep();
  }
  assert.equal([...store.keys()].filter((name) => name.includes("/batch/")).length, 6);
  assert.equal(glance.lastScreen("/batch/2"), null);
  assert.equal(glance.lastScreen("/batch/3").title, "/batch/3");
});

test("nothing of it stays after forgetting, and what cannot be read counts as nothing", () => {
  glance.keepScreen(screen("/"));
  glance.keepRing({ now: [] }, { kitchen: 1, mono: mono(), pace: 1 });
  glance.keep();
  for (const name of store.keys()) store.set(name, "{");
  assert.deepEqual([glance.lastScreen("/"), glance.lastRing()], [null, null]);
  glance.keepScreen(screen("/"));
  glance.keep();
  glance.forget();
  glance.keep();
  assert.equal(store.size, 0);
});
