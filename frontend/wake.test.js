import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { Awake } from "./wake.js";

const settle = () => new Promise((done) => setImmediate(done));

/** A sentinel as the browser hands it out. */
class Sentinel extends EventTarget {
  released = false;

  letGo() {
    this.released = true;
    this.dispatchEvent(new Event("release"));
  }
}

let given; // sentinels, the last one last
let asked;
let refuses;
let timers;
let said;

beforeEach(() => {
  given = [];
  asked = 0;
  refuses = false;
  timers = [];
  said = [];
  const request = async (kind) => {
    asked++;
    assert.equal(kind, "screen");
    assert.equal(document.visibilityState, "visible", "a browser refuses whoever is not looked at");
    if (refuses) throw new DOMException("low battery", "NotAllowedError");
    given.push(new Sentinel());
    return given.at(-1);
  };
  Object.defineProperty(globalThis, "navigator", { value: { wakeLock: { request } }, configurable: true });
  globalThis.document = Object.assign(new EventTarget(), { visibilityState: "visible" });
  globalThis.setInterval = (run, ms) => timers.push({ run, ms });
});

async function begun() {
  const awake = new Awake(() => said.push(awake.held()));
  awake.begin();
  await settle();
  return awake;
}

async function looks(state) {
  document.visibilityState = state;
  document.dispatchEvent(new Event("visibilitychange"));
  await settle();
}

test("the screen is kept awake from the start, and asked for once", async () => {
  const awake = await begun();
  assert.equal(awake.held(), true);
  for (const { run } of timers) run();
  await settle();
  assert.equal(asked, 1);
  assert.deepEqual(said, [true]);
});

test("what the system lets go while the page is looked at is taken again, and both are said", async () => {
  const awake = await begun();
  given[0].letGo();
  assert.equal(awake.held(), false);
  await settle();
  assert.equal(awake.held(), true);
  assert.equal(asked, 2);
  assert.deepEqual(said, [true, false, true]);
});

test("a page that is covered loses it, and takes it again when it is looked at", async () => {
  const awake = await begun();
  document.visibilityState = "hidden";
  given[0].letGo();
  await looks("hidden");
  for (const { run } of timers) run();
  await settle();
  assert.equal(awake.held(), false);
  assert.equal(asked, 1, "nothing is asked for in the dark");
  assert.equal(said.at(-1), false);
  await looks("visible");
  assert.equal(awake.held(), true);
  assert.equal(said.at(-1), true);
});

test("a refusal is said and asked again: a low battery may have passed", async () => {
  refuses = true;
  const awake = await begun();
  assert.equal(awake.held(), false);
  assert.deepEqual(said, [false]);
  assert.ok(timers.every(({ ms }) => ms <= 60_000));
  refuses = false;
  for (const { run } of timers) run();
  await settle();
  assert.equal(awake.held(), true);
  assert.equal(said.at(-1), true);
});

test("a browser without wake locks goes on, and claims nothing", async () => {
  Object.defineProperty(globalThis, "navigator", { value: {}, configurable: true });
  const awake = await begun();
  assert.equal(awake.held(), false);
});
