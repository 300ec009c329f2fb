import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { Updates } from "./update.js";

const later = [];
const after = [];
let reloads;
let container;
let registration;

beforeEach(() => {
  later.length = 0;
  reloads = 0;
  after.length = 0;
  registration = Object.assign(new EventTarget(), {
    active: { postMessage: (word) => after.push(word) },
    waiting: null,
    installing: null,
    update: async () => {},
  });
  container = Object.assign(new EventTarget(), { controller: {}, register: async () => registration });
  Object.defineProperty(globalThis, "navigator", { value: { serviceWorker: container }, configurable: true });
  globalThis.location = { reload: () => reloads++ };
  globalThis.document = Object.assign(new EventTarget(), { visibilityState: "visible" });
  globalThis.setInterval = (run) => later.push(run);
});

async function begun(quiet) {
  const updates = new Updates({ quiet: () => quiet.now, changed: () => {} });
  await updates.begin("/sw.js");
  return updates;
}
const tick = () => {
  for (const run of later) run();
};

test("a waiting version is swapped in only at a quiet moment", async () => {
  const quiet = { now: false };
  const updates = await begun(quiet);
  const said = [];
  registration.waiting = { postMessage: (word) => said.push(word) };
  assert.equal(updates.ready(), true);
  tick();
  assert.deepEqual(said, []);
  quiet.now = true;
  tick();
  assert.deepEqual(said, ["swap"]);
  container.dispatchEvent(new Event("controllerchange"));
  assert.equal(reloads, 1);
});

test("when another tab swapped, this one goes on until it is quiet here too", async () => {
  const quiet = { now: false };
  const updates = await begun(quiet);
  container.dispatchEvent(new Event("controllerchange"));
  assert.equal(reloads, 0);
  assert.equal(updates.ready(), true);
  quiet.now = true;
  tick();
  assert.equal(reloads, 1);
});

test("what comes after the first screens is asked for again and again: it may not have come", async () => {
  await begun({ now: false });
  tick();
  tick();
  assert.deepEqual(new Set(after), new Set(["after"]));
  assert.ok(after.length >= 2);
});

test("a hand may ask for it at once", async () => {
  const updates = await begun({ now: false });
  const said = [];
  registration.waiting = { postMessage: (word) => said.push(word) };
  updates.now();
  assert.deepEqual(said, ["swap"]);
});

test("the first worker of a page takes over without a reload", async () => {
  container.controller = null;
  const updates = await begun({ now: true });
  container.controller = {};
  container.dispatchEvent(new Event("controllerchange"));
  assert.equal(reloads, 0);
  assert.equal(updates.ready(), false);
});

test("without a service worker the page works, and says that it would not open without the server", async () => {
  container.register = async () => {
    throw new DOMException("certificate", "SecurityError");
  };
  const updates = await begun({ now: true });
  assert.equal(updates.kept(), false);
  Object.defineProperty(globalThis, "navigator", { value: {}, configurable: true });
  const plain = await begun({ now: true });
  assert.equal(plain.kept(), false);
  assert.equal(plain.ready(), false);
});

test("a page that the kitchen does not understand looks for a newer app at once", async () => {
  const updates = await begun({ now: false });
  let asked = 0;
  registration.update = async () => {
    asked++;
    throw new TypeError("the server is away");
  };
  updates.ask();
  assert.equal(asked, 1);
  await new Promise((done) => setImmediate(done)); // what fails is asked again in an hour, and no fault of the page
});
