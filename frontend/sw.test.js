import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { runInNewContext } from "node:vm";

const source = readFileSync(new URL("./sw.js", import.meta.url), "utf8");
const ASSETS = ["/", "/assets/app.1.js", "/assets/core.1.wasm", "/manifest.webmanifest"];
const AFTER = ["/assets/later.1.wasm"];
const origin = "https://kitchen.local";

/** A phone stands in for the browser around a service worker: its caches, and the network of one moment. */
function phone() {
  const it = { caches: new Map(), net: new Map(), asked: [], skipped: 0, claimed: 0 };
  const reply = (body, status = 200, type = "text/javascript") => ({
    body,
    status,
    ok: status < 400,
    headers: new Headers({ "content-type": type }),
  });
  it.reply = reply;
  const pathOf = (request) => new URL(typeof request === "string" ? request : request.url, origin).pathname;
  const fetchIt = async (request) => {
    it.asked.push(request);
    const answer = it.net.get(pathOf(request));
    if (!answer) throw new TypeError("no network");
    return answer;
  };
  const cacheOf = (name) => ({
    addAll: async (requests) => {
      const got = await Promise.all(requests.map(async (r) => [pathOf(r), await fetchIt(r)]));
      const bad = got.find(([, answer]) => !answer.ok);
      if (bad) throw new TypeError(`${bad[0]} ${bad[1].status}`);
      for (const [path, answer] of got) it.caches.get(name).set(path, answer);
    },
    add: async (request) => it.caches.get(name).set(pathOf(request), await fetchIt(request)),
    match: async (path) => it.caches.get(name).get(pathOf(path)),
  });
  it.boot = (version) => {
    const heard = {};
    const globals = {
      VERSION: version,
      ASSETS,
      AFTER,
      URL,
      Headers,
      Promise,
      TypeError,
      fetch: fetchIt,
      Request: class {
        constructor(url, options) {
          Object.assign(this, { url: origin + url }, options);
        }
      },
      Response: class {
        constructor(body, { status, headers }) {
          Object.assign(this, reply(body, status, headers["content-type"]));
        }
      },
      caches: {
        open: async (name) => {
          if (!it.caches.has(name)) it.caches.set(name, new Map());
          return cacheOf(name);
        },
        keys: async () => [...it.caches.keys()],
        delete: async (name) => it.caches.delete(name),
        match: async (path) => [...it.caches.values()].map((c) => c.get(pathOf(path))).find(Boolean),
      },
      location: { origin },
      addEventListener: (type, run) => {
        heard[type] = run;
      },
      skipWaiting: () => it.skipped++,
      clients: { claim: async () => void it.claimed++ },
    };
    runInNewContext(source, globals);
    const life = (type) => {
      let work;
      heard[type]({ waitUntil: (promise) => (work = promise) });
      return work;
    };
    return {
      install: () => life("install"),
      activate: () => life("activate"),
      say: (data) => {
        let work;
        heard.message({ data, waitUntil: (promise) => (work = promise) });
        return work;
      },
      get: async (path, mode = "no-cors", method = "GET") => {
        let answer = null;
        heard.fetch({ request: { url: origin + path, mode, method }, respondWith: (given) => (answer = given) });
        return answer;
      },
    };
  };
  it.serve = (tag) => {
    for (const path of ASSETS) it.net.set(path, reply(`${path} ${tag}`, 200, path === "/" ? "text/html" : "text/javascript"));
  };
  return it;
}

async function installed(version = "1") {
  const it = phone();
  it.serve(version);
  const worker = it.boot(version);
  await worker.install();
  await worker.activate();
  return { it, worker };
}

test("the whole app is fetched past the browser's cache, or not at all", async () => {
  const { it } = await installed();
  assert.deepEqual(
    it.asked.map((r) => new URL(r.url).pathname),
    ASSETS,
  );
  for (const { cache } of it.asked) assert.equal(cache, "reload");
  const other = phone();
  other.serve("1");
  other.net.set("/assets/core.1.wasm", other.reply("gone", 404));
  await assert.rejects(other.boot("1").install(), /core\.1\.wasm 404/);
});

test("what comes after the first screens is fetched when the page says so, once, and is there without the server", async () => {
  const { it, worker } = await installed();
  await assert.rejects(worker.say("after"), /no network/, "and what does not come is asked for the next time");
  it.net.set(AFTER[0], it.reply("later"));
  await worker.say("after");
  const asked = it.asked.length;
  await worker.say("after");
  assert.equal(it.asked.length, asked);
  it.net.clear();
  assert.equal((await worker.get(AFTER[0])).body, "later");
});

test("with the server dead every address of the app opens its page", async () => {
  const { it, worker } = await installed();
  it.net.clear();
  for (const path of ["/", "/batch/0190", "/wall", "/join?code=AB2K", "/start/thigh?g=900"]) {
    assert.equal((await worker.get(path, "navigate")).body, "/ 1", path);
  }
  assert.equal((await worker.get("/assets/app.1.js")).body, "/assets/app.1.js 1");
});

test("what is not the app goes to the server untouched", async () => {
  const { worker } = await installed();
  for (const [path, mode, method] of [
    ["/hello", "cors"],
    ["/metrics", "navigate"],
    ["/api/report", "navigate"],
    ["/healthz", "navigate"],
    ["/photo/ab", "no-cors"],
    ["/join", "cors", "POST"],
  ]) {
    assert.equal(await worker.get(path, mode, method), null, path);
  }
});

test("a file that is nowhere is a 404 and never a page", async () => {
  const { it, worker } = await installed();
  it.net.set("/assets/old.js", it.reply("<!doctype html>", 200, "text/html; charset=utf-8"));
  const poisoned = await worker.get("/assets/old.js");
  assert.equal(poisoned.status, 404);
  it.net.clear();
  const offline = await worker.get("/assets/old.js");
  assert.equal(offline.status, 404);
  assert.match(offline.headers.get("content-type"), /text\/plain/);
});

test("an update waits until the page says so", async () => {
  const { it, worker } = await installed();
  const next = it.boot("2");
  it.serve("2");
  await next.install();
  assert.equal(it.skipped, 0);
  assert.equal((await worker.get("/", "navigate")).body, "/ 1", "the old version still serves its own page");
  next.say("something else");
  assert.equal(it.skipped, 0);
  next.say("swap");
  assert.equal(it.skipped, 1);
});

test("a new version keeps the files of the one before for pages that still run, and drops older ones", async () => {
  const { it } = await installed("1");
  it.caches.get("brinebell-1").set("/assets/lazy.1.js", it.reply("lazy"));
  it.caches.set("someone-else", new Map());
  for (const version of ["2", "3"]) {
    it.serve(version);
    const worker = it.boot(version);
    await worker.install();
    await worker.activate();
    if (version === "2") assert.equal((await worker.get("/assets/lazy.1.js")).body, "lazy");
  }
  assert.deepEqual([...it.caches.keys()].sort(), ["brinebell-2", "brinebell-3", "someone-else"]);
});
