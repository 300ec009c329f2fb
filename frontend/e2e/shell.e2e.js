// The phone's shell: several tabs, a store that fails, a store that is gone.
import assert from "node:assert/strict";
import { test } from "node:test";
import { EARLY } from "../worker/early.js";
import { Cook } from "./lib/cook.js";
import { Kitchen } from "./lib/kitchen.js";

/** Another tab of the same phone. */
async function tab(phone, path) {
  const other = new Cook(await phone.page.context().newPage(), phone.server, `${phone.name}'s tab`, phone.wifi);
  await other.goes(path);
  return other;
}

const owns = (phone) => phone.page.evaluate(() => globalThis.brinebell.owner);
const ownsSoon = (phone, want) => phone.page.waitForFunction((mine) => globalThis.brinebell.owner === mine, want, { timeout: 15_000 });
const view = (phone) => phone.page.evaluate(() => document.documentElement.dataset.view);
const devtools = (phone) => phone.page.context().newCDPSession(phone.page);

/** Counts a piece as sold, whether or not something rings over the page just now. */
async function sells(phone) {
  await phone.goesWithin("/hold");
  await phone.page.locator("[data-do=count]").first().waitFor({ state: "attached" });
  const before = await phone.state();
  await phone.page.evaluate(() => document.querySelector("[data-do=count]").click());
  await phone.page.waitForFunction(async (old) => (await globalThis.brinebell.stateHash()) !== old, before, { timeout: 15_000 });
}

test("tabs of one phone share one core, and a tab that closes hands it over", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const line = await kitchen.phone("anna");
  await line.isHeldBy("Maren");
  const hold = await tab(line, "/hold");
  assert.deepEqual([await owns(line), await owns(hold)], [true, false]);
  await sells(hold);
  assert.equal(await line.state(), await hold.state());
  await line.page.close();
  await ownsSoon(hold, true);
  await sells(hold);
  await hold.isSavedIn("kitchen");
  hold.noFaults();
});

/** Holds a tab's worker fast, as a system does that freezes a page: it neither hears nor answers. */
function freezes(phone, ms) {
  const [worker] = phone.page.workers();
  return worker.evaluate((length) => {
    const memory = new WebAssembly.Memory({ initial: 1, maximum: 1, shared: true });
    Atomics.wait(new Int32Array(memory.buffer), 0, 0, length);
  }, ms);
}

test("a frozen tab loses the core to the one that is looked at, and comes back as a follower", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const first = await kitchen.phone("anna");
  await first.isHeldBy("Maren");
  const second = await tab(first, "/hold");
  const thawed = freezes(first, 9_000);
  await ownsSoon(second, true);
  await sells(second);
  await thawed;
  await ownsSoon(first, false);
  await first.goes("/hold");
  assert.equal(await first.state(), await second.state());
  assert.deepEqual([await owns(first), await owns(second)], [false, true]);
});

/** A phone whose rules take a second to come up. */
async function slowPhone(kitchen) {
  const anna = await kitchen.phone("anna", { options: { serviceWorkers: "block" } });
  await anna.isHeldBy("Maren");
  await anna.page.context().route("**/core.*.wasm", async (route) => {
    await new Promise((resolve) => setTimeout(resolve, 1_000));
    await route.continue();
  });
  return anna;
}

/** Starts the phone at a place and acts before its rules are up. */
async function hurries(phone, path, act) {
  await phone.goesWithin(path);
  await phone.page.waitForTimeout(1_500); // the picture of a place is kept a second after it was drawn
  await phone.page.goto("about:blank"); // so that no worker of the page before answers
  await phone.page.goto(phone.server.origin + path, { waitUntil: "domcontentloaded" });
  await phone.page.waitForFunction(() => globalThis.brinebell?.owner, null, { polling: 5 });
  await phone.page.locator("main").waitFor({ state: "attached" });
  assert.equal(await phone.page.evaluate(() => globalThis.brinebell.live), false, "the rules are up already: nothing is tried");
  await act();
  await phone.drawn();
  await phone.state(); // stands behind all that was asked before
}

test("a place that was left before the rules were up does not come back over the one that is looked at", async (t) => {
  const anna = await slowPhone(await Kitchen.demo(t));
  await hurries(anna, "/", () => anna.goesWithin("/lists"));
  await anna.page.waitForTimeout(500);
  assert.deepEqual([anna.path, await view(anna)], ["/lists", "lists"]);
});

test("a tap on the picture that the phone remembers is carried out once the rules are up", async (t) => {
  const anna = await slowPhone(await Kitchen.demo(t));
  await hurries(anna, "/hold", () => anna.page.evaluate(() => document.querySelector("[data-do=count]").click()));
  await anna.page.locator("[data-part=undo]").waitFor();
});

test("no start calls for what comes after its screen: neither the first one, nor those from what was kept, whatever is shown", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [anna, teo] = await kitchen.phones("anna", "teo");
  await teo.isHeldBy("Teo");
  for (const name of EARLY) {
    await anna.goes(`/${name}`);
    await sells(teo);
    await anna.page.waitForTimeout(300); // what others did comes in, too
  }
  assert.deepEqual(anna.stalls, [], "node e2e/unused.mjs lists anew what no start needs");
  anna.noFaults();
});

/** Lets the phone's store refuse every write, or take them again. */
function fills(phone, full) {
  const [worker] = phone.page.workers();
  return worker.evaluate((refuse) => {
    globalThis.put ??= IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = refuse
      ? () => {
          throw new DOMException("no room", "QuotaExceededError");
        }
      : globalThis.put;
  }, full);
}

test("a phone whose store is full says so, goes on, and keeps what waited once there is room", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const anna = await kitchen.phone("anna");
  await anna.isHeldBy("Maren");
  await anna.isInTheCache();
  await anna.wifi.off();
  await fills(anna, true);
  await sells(anna);
  await anna.sees("no room left");
  await fills(anna, false);
  await anna.page.waitForFunction(() => !globalThis.brinebell.notices.includes("store_full"), null, { timeout: 20_000 });
  const before = await anna.state();
  await anna.reloads();
  assert.equal(await anna.state(), before);
});

test("a phone that lost its store says so and never plays the newcomer", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const anna = await kitchen.phone("anna");
  await anna.isHeldBy("Maren");
  const session = await devtools(anna);
  await anna.page.goto("about:blank");
  await session.send("Storage.clearDataForOrigin", { origin: kitchen.server.origin, storageTypes: "indexeddb" });
  await anna.goes("/");
  await anna.sees("lost what it had kept");
});

test("while the rest of the rules does not come the line goes on, it is said, and what was tapped waits", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const files = await (await fetch(`${kitchen.server.origin}/sw.js`)).text();
  const [rest] = files.match(/\/assets\/rest\.\w+\.wasm/);
  const teo = await Cook.open(t, {
    browser: kitchen.browser,
    server: Object.assign(Object.create(kitchen.server), { demo: false }),
    name: "teo",
  });
  teo.wifi.missing.add("/sw.js"); // its cache would have it
  teo.wifi.missing.add(rest);
  await teo.goes("/");
  await teo.page.waitForFunction(() => globalThis.brinebell.notices.includes("core_missing"));
  await teo.page.locator("li[data-key]").first().waitFor();
  await teo.page.locator(".places a[href='/more']").tap();
  await teo.page.waitForURL((url) => url.pathname === "/more");
  await teo.page.locator(".places a[href='/hold']").tap();
  await teo.page.locator("html[data-view=hold]").waitFor();
  await teo.page.locator(".places a[href='/more']").tap();
  teo.wifi.missing.delete(rest);
  await teo.page.locator("html[data-view=more]").waitFor();
  await teo.page.waitForFunction(() => !globalThis.brinebell.notices.includes("core_missing"));
  assert.ok(
    teo.faults.every((fault) => fault.includes("rest.wasm does not load")),
    teo.faults.join("\n"),
  );
});
