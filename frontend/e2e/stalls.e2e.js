// A path that is dead without anybody being told: it takes questions and never answers, or stops in the middle. And what is kept on a
// phone, spoilt. Its limits of time are shortened here by what begins its scripts.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Cook } from "./lib/cook.js";
import { Kitchen } from "./lib/kitchen.js";

const WORKER = /\/worker\.\w+\.js$/;
const CORE = /\/core\.\w+\.wasm$/;
const REST = /\/rest\.\w+\.wasm$/;
const LATELY = /\/worker\.practice\.\w+\.js$/; // what no page asks for by itself: else it would wait for the same answer
const LATE = "The rules have not arrived yet";

/** What shortens some waits. @param {Record<number, number>} waits ms, by those that the app has */
const hurried = (waits) =>
  `{const wait=setTimeout;globalThis.setTimeout=(run,ms,...more)=>wait(run,${JSON.stringify(waits)}[ms]??ms,...more);}\n`;
const FETCHES = { 15000: 700, 120000: 900 };

/** A phone that nothing was fetched to yet. */
async function fresh(kitchen, options = {}) {
  const server = Object.assign(Object.create(kitchen.server), { demo: false });
  return Cook.open(kitchen.t, { browser: kitchen.browser, server, name: "anna", options });
}

const says = (phone, words) => phone.page.waitForEvent("console", (line) => words.test(line.text()));

/** Nothing stands on the screen of what did not come. */
const hasAll = (phone) =>
  phone.page.waitForFunction(() => globalThis.brinebell?.live && !globalThis.brinebell.notices.includes("core_missing"));

test("where the rules do not come, or stop in the middle, it is said, and they come once the path lives", async (t) => {
  const anna = await fresh(await Kitchen.demo(t), { serviceWorkers: "block" });
  anna.wifi.begins(WORKER, hurried(FETCHES));
  anna.wifi.stalls(CORE, 0);
  const given = says(anna, /core\.\w+\.wasm: no answer/);
  await anna.page.goto(`${anna.server.origin}/`, { waitUntil: "domcontentloaded" });
  await anna.sees(LATE);
  await anna.looks("stalls.rules.en");
  await given;
  const stopped = says(anna, /core\.\w+\.wasm: no more of it came/);
  anna.wifi.stalls(CORE, 20_000);
  await stopped;
  await anna.sees(LATE);
  const rest = says(anna, /rest\.\w+\.wasm: no more of it came/);
  anna.wifi.stalls(REST, 20_000);
  await anna.drawn();
  await rest;
  await anna.sees(LATE);
  anna.wifi.lives();
  await hasAll(anna);
  await anna.doesNotSee(LATE);
  await anna.isHeldBy("Teo");
});

test("where the worker's script does not come it is said, and it is begun anew once the path lives", async (t) => {
  const anna = await fresh(await Kitchen.demo(t), { serviceWorkers: "block", locale: "es-ES" });
  await anna.page.addInitScript(hurried(FETCHES));
  anna.wifi.stalls(WORKER, 0);
  await anna.page.goto(`${anna.server.origin}/`, { waitUntil: "domcontentloaded" });
  await anna.sees("Las reglas aún no han llegado");
  await anna.looks("stalls.worker.es");
  anna.wifi.lives();
  await anna.drawn();
  await hasAll(anna);
  await anna.isHeldBy("Teo");
});

test("a phone that holds the app starts over a dead path as fast as ever, and says that it is out of touch", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const anna = await kitchen.phone("anna");
  await anna.isHeldBy("Teo");
  await anna.isInTheCache();
  await anna.goes("/");
  anna.wifi.dead();
  await anna.page.reload({ waitUntil: "domcontentloaded", timeout: 10_000 });
  await anna.page.waitForFunction(() => globalThis.brinebell?.live === true, null, { timeout: 10_000 });
  await anna.sees(/not in touch yet|out of touch/);
  await anna.wifi.off();
  await anna.wifi.on();
  await anna.isSavedIn("kitchen");
  anna.noFaults();
});

test("an installation over a path that stalls is broken off, and goes on where it was", async (t) => {
  const anna = await fresh(await Kitchen.demo(t));
  await anna.page.addInitScript(hurried({ 30000: 300 }));
  anna.wifi.begins(/\/sw\.js$/, hurried(FETCHES));
  anna.wifi.stalls(LATELY, 200, true);
  await anna.goes("/");
  const tries = () => anna.wifi.anew.filter((path) => LATELY.test(path)).length;
  for (let i = 0; i < 200 && tries() < 2; i++) await anna.page.waitForTimeout(100);
  assert.ok(tries() >= 2, "it is tried again");
  assert.equal(await anna.page.evaluate(async () => Boolean((await navigator.serviceWorker.getRegistration())?.active)), false);
  anna.wifi.lives();
  await anna.isInTheCache();
  const twice = anna.wifi.anew.filter((path, i, all) => all.indexOf(path) < i && !LATELY.test(path) && path.startsWith("/assets/"));
  assert.deepEqual(twice, [], "what came before the path died is not fetched again");
  anna.wifi.dead();
  await anna.page.reload({ waitUntil: "domcontentloaded" });
  await anna.drawn();
});

/** Spoils what the phone keeps of the app. @param {"cut" | "page" | "gone"} how @param {RegExp} paths @returns their addresses */
function spoils(phone, how, paths) {
  return phone.page.evaluate(
    async ([kind, pattern]) => {
      const [name] = await caches.keys();
      const cache = await caches.open(name);
      const hit = (await cache.keys()).filter(({ url }) => new RegExp(pattern).test(new URL(url).pathname));
      for (const { url } of hit) {
        const kept = await cache.match(url);
        const type = { "content-type": kind === "page" ? "text/html" : kept.headers.get("content-type") };
        const bytes = await kept.arrayBuffer();
        if (kind === "gone") await cache.delete(url);
        else
          await cache.put(
            url,
            new Response(kind === "page" ? "<!doctype html>Sign in" : bytes.slice(0, bytes.byteLength / 2), { headers: type }),
          );
      }
      return hit.map(({ url }) => url);
    },
    [how, paths.source],
  );
}

/** What is kept at some addresses is what the kitchen has. */
const isWhole = (phone, urls) =>
  phone.page.waitForFunction(async (all) => {
    const [name] = await caches.keys();
    const cache = await caches.open(name);
    const size = async (answer) => (await answer?.arrayBuffer())?.byteLength;
    for (const url of all)
      if ((await size(await cache.match(url))) !== (await size(await fetch(`${url}?`, { cache: "no-store" })))) return false;
    return true;
  }, urls);

test("a phone whose cache was spoilt starts all the same, and mends it", async (t) => {
  const anna = await fresh(await Kitchen.demo(t));
  anna.wifi.begins(/\/sw\.js$/, hurried({ 8000: 500 }));
  await anna.goes("/");
  await anna.isInTheCache();
  for (const [how, paths] of [
    ["page", /\/(core|rest)\.\w+\.wasm$/],
    ["cut", CORE],
    ["cut", WORKER],
    ["cut", /\/app\.\w+\.js$/],
    ["page", /^\/$/],
    ["gone", /^\/($|assets\/(app|core|worker|chunk))/],
  ]) {
    const hit = await spoils(anna, how, paths).catch(() => anna.drawn().then(() => spoils(anna, how, paths))); // it was loaded again meanwhile
    assert.ok(hit.length > 0, `${how} ${paths}`);
    await anna.page.reload({ waitUntil: "domcontentloaded" });
    await anna.drawn();
    await isWhole(anna, hit);
  }
  await anna.isHeldBy("Teo");
});

/** The files that the phone keeps of a version of the app, and how large they are. */
const keeps = (phone, version) =>
  phone.page.evaluate(async (name) => {
    const cache = await caches.open(name);
    const paths = (await cache.keys()).map(({ url }) => new URL(url).pathname).sort();
    return Promise.all(paths.map(async (path) => [path, (await (await cache.match(path)).arrayBuffer()).byteLength]));
  }, version);

test("an update whose cache is half filled, and spoilt, comes whole, while a tab of the version before works on", async (t) => {
  const anna = await fresh(await Kitchen.demo(t));
  await anna.goes("/");
  await anna.isInTheCache();
  const [old] = await anna.page.evaluate(() => caches.keys());
  const young = "brinebell-0123456789ab";
  const was = await keeps(anna, old);
  await anna.page.evaluate(
    async ([from, to]) => {
      const [held, into] = [await caches.open(from), await caches.open(to)];
      const type = { headers: { "content-type": "application/wasm" } };
      for (const { url } of (await held.keys()).slice(0, 8)) {
        const kept = await held.match(url);
        if (/core/.test(url)) await into.put(url, new Response((await kept.arrayBuffer()).slice(0, 50_000), type));
        else if (/app|rest/.test(url))
          await into.put(url, new Response("<!doctype html>Sign in", { headers: { "content-type": "text/html" } }));
        else await into.put(url, kept);
      }
    },
    [old, young],
  );
  const tab = new Cook(await anna.page.context().newPage(), anna.server, "anna's tab", anna.wifi);
  await tab.goes("/hold");
  anna.wifi.changes(/\/sw\.js$/, (text) => text.replaceAll(old.slice("brinebell-".length), young.slice("brinebell-".length)));
  await anna.page.evaluate(async () => (await navigator.serviceWorker.getRegistration()).update());
  await anna.page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration()).waiting);
  await anna.goesWithin("/more");
  await anna.page.locator("[data-do=page-update]").waitFor();
  const loaded = anna.page.waitForEvent("domcontentloaded");
  await anna.page.evaluate(() => document.querySelector("[data-do=page-update]").click());
  await loaded;
  await anna.drawn();
  await anna.isInTheCache();
  assert.deepEqual(
    (await keeps(anna, young)).filter(([path]) => path !== "/took-over" && !/later/.test(path)),
    was.filter(([path]) => path !== "/took-over" && !/later/.test(path)),
  );
  await tab.goesWithin("/lists");
  await anna.wifi.off();
  await anna.reloads();
  await tab.reloads();
  await anna.sees(/not in touch yet|out of touch/);
});
