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

async function begun(quiet, up = true) {
  const updates = new Updates({ quiet: () => quiet.now, changed: () => {}, up: () => up });
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

const mended = () => container.dispatchEvent(Object.assign(new Event("message"), { data: "mended" }));

test("a page that did not come up has what is kept looked through, and is loaded again once that is mended", async () => {
  const updates = await begun({ now: false }, false);
  after.length = 0;
  updates.mend();
  assert.deepEqual(after, ["mend"]);
  mended();
  assert.equal(reloads, 1);
});

test("a page that came up all the same is loaded again at a quiet moment", async () => {
  const quiet = { now: false };
  const updates = await begun(quiet, true);
  mended();
  tick();
  assert.deepEqual([reloads, updates.ready()], [0, false]);
  quiet.now = true;
  tick();
  assert.equal(reloads, 1);
});

test("what does not come up before the service worker is known is told once it is", async () => {
  const keeper = registration.active;
  registration.active = null;
  const updates = await begun({ now: false }, false);
  updates.mend();
  tick();
  registration.active = keeper;
  tick();
  tick();
  assert.equal(after.filter((word) => word === "mend").length, 1);
});

test("an installation that was broken off goes on after a while, whether or not there was one before", async (t) => {
  t.mock.timers.enable({ apis: ["setTimeout"] });
  let asked = 0;
  let registered = 0;
  registration.update = async () => asked++;
  container.register = async () => {
    registered++;
    return registration;
  };
  await begun({ now: false });
  const fails = (...states) => {
    const worker = Object.assign(new EventTarget(), { state: "installing" });
    registration.installing = worker;
    registration.dispatchEvent(new Event("updatefound"));
    registration.installing = null;
    for (const state of states) {
      worker.state = state;
      worker.dispatchEvent(new Event("statechange"));
    }
    t.mock.timers.tick(30_000);
  };
  fails("redundant");
  assert.deepEqual([registered, asked], [1, 1]);
  registration.active = null;
  fails("redundant");
  assert.deepEqual([registered, asked], [2, 1], "the browser forgets a registration that nothing came of");
  fails("installed", "activating", "activated", "redundant");
  assert.deepEqual([registered, asked], [2, 1], "one that was replaced is no such case");
});
