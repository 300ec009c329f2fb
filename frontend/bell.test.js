import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { Bell } from "./bell.js";

/** Everything of a browser that a bell touches, with clocks that only a test moves. */
let world;

class Context {
  constructor() {
    this.state = world.mayRun ? "running" : "suspended";
    this.sampleRate = 8_000;
    this.destination = {};
    this.from = world.time;
    world.contexts.push(this);
  }
  get currentTime() {
    return (world.stands ? world.stoodAt : world.time - this.from) / 1_000;
  }
  getOutputTimestamp() {
    return { contextTime: this.currentTime, performanceTime: world.time };
  }
  async resume() {
    this.state = "running";
    this.onstatechange?.();
  }
  async close() {}
  createBuffer(_channels, length) {
    return { length, copyToChannel() {} };
  }
  createBufferSource() {
    const source = { started: null, stopped: null, connect() {}, disconnect: () => (source.gone = true) };
    source.start = (at) => {
      source.started = at;
    };
    source.stop = (at) => {
      source.stopped = at ?? "now";
    };
    world.sources.push(source);
    return source;
  }
}
const node = class {
  constructor(_context, options) {
    this.gain = { value: options.gain };
  }
  connect(next) {
    return next;
  }
};

beforeEach(() => {
  world = { time: 10_000, contexts: [], sources: [], mayRun: true, stands: false, shaken: [], intervals: [], timeouts: [] };
  Object.assign(globalThis, { AudioContext: Context, GainNode: node, DynamicsCompressorNode: node, addEventListener: () => {} });
  globalThis.document = Object.assign(new EventTarget(), { visibilityState: "visible" });
  globalThis.setInterval = (run) => world.intervals.push(run);
  globalThis.setTimeout = (run, ms) => world.timeouts.push({ run, ms });
  globalThis.clearTimeout = () => {};
  Object.defineProperty(globalThis, "navigator", { value: { vibrate: (pattern) => world.shaken.push(pattern) }, configurable: true });
  Object.defineProperty(globalThis, "performance", { value: { timeOrigin: 1_000_000, now: () => world.time }, configurable: true });
});

const T = 1_790_000_000_000;
const bell = (key, at, level = "attention") => ({ key, at, level, say: "", lang: "en" });
const clock = () => ({ kitchen: T, mono: 1_000_000 + world.time, pace: 1 });
const live = () => world.sources.filter((s) => s.started !== null && !s.gone);

function rung() {
  const it = new Bell({ changed: () => {}, loudness: () => 1, speaks: () => false });
  it.begin();
  it.setClock(clock());
  return it;
}

test("a booked bell starts on the audio clock at its kitchen instant", () => {
  const it = rung();
  it.set({ now: [], book: [bell("tub", T + 30_000)] });
  assert.equal(live()[0].started, 30);
  assert.deepEqual(it.booked[0], { key: "tub", at: T + 30_000, audio: 30, page: 40_000 });
  assert.deepEqual(globalThis.__brinebellRings[0], { key: "tub", kitchenAt: T + 30_000 });
});

test("a better clock moves what is booked; a hair's breadth does not", () => {
  const it = rung();
  it.set({ now: [], book: [bell("tub", T + 30_000)] });
  const count = world.sources.length;
  it.setClock({ ...clock(), kitchen: T + 1 });
  assert.equal(world.sources.length, count);
  it.setClock({ ...clock(), kitchen: T + 250 });
  assert.equal(live()[0].started, 29.75);
});

test("what is silenced stops at once, what is booked beside it stays", () => {
  const it = rung();
  it.set({ now: [], book: [bell("tub", T), bell("tray", T + 90_000, "danger")] });
  world.time += 100;
  it.set({ now: [], book: [bell("tray", T + 90_000, "danger")] });
  assert.equal(live()[0].started, 90);
  assert.ok(world.sources.some((s) => s.started === 0 && s.stopped === "now"));
});

test("without a touch nothing sounds, and the first touch books everything", async () => {
  world.mayRun = false;
  const it = rung();
  it.set({ now: [], book: [bell("tub", T + 30_000)] });
  assert.equal(it.sound(), "suspended");
  assert.equal(live().length, 0);
  assert.equal(it.booked[0].page, 40_000, "the instant is known all the same");
  it.unlock();
  assert.equal(it.sound(), "running");
  assert.equal(live()[0].started, 30);
});

test("an audio clock that stands still is found within two seconds, and a touch opens a new one", () => {
  const it = rung();
  it.set({ now: [], book: [bell("tub", T + 30_000)] });
  const watch = world.intervals[0];
  watch();
  world.stands = true;
  world.stoodAt = 0;
  for (let i = 0; i < 4; i++) {
    world.time += 500;
    watch();
  }
  assert.equal(it.sound(), "stuck");
  world.stands = false;
  it.unlock();
  assert.equal(world.contexts.length, 2);
  assert.equal(it.sound(), "running");
});

test("a page that woke up sounds what it missed at once", () => {
  const it = rung();
  it.set({ now: [bell("tub", T - 40_000)], book: [] });
  assert.equal(it.booked[0].key, "tub");
  assert.equal(it.booked[0].audio, 0);
});

test("a bell that sounds is not cut when the bells are booked anew", () => {
  const it = rung();
  it.set({ now: [], book: [bell("tub", T)] });
  world.time += 200;
  it.book();
  const first = world.sources[0];
  assert.equal(first.started, 0);
  assert.equal(first.gone, undefined);
  assert.equal(live().filter((s) => s.started < 1).length, 1, "and not sounded twice");
});

test("the shake comes with the sound, once, even when the timer is a hair early", () => {
  const it = rung();
  it.set({ now: [], book: [bell("tub", T + 5_000)] });
  const { run, ms } = world.timeouts.at(-1);
  assert.equal(ms, 5_000);
  world.time += 4_999;
  run();
  assert.equal(world.shaken.length, 1);
  assert.ok(world.timeouts.at(-1).ms > 7_000, "the next is the second burst");
});

test("a shake goes with the test signal", () => {
  const it = rung();
  it.play("danger");
  assert.ok(world.shaken[0].length > 5);
});
