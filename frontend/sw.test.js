import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { runInNewContext } from "node:vm";
import { buildSync } from "esbuild";

const { outputFiles } = buildSync({
  entryPoints: [fileURLToPath(new URL("./sw.js", import.meta.url))],
  bundle: true,
  write: false,
  format: "iife",
});
const source = outputFiles[0].text;
const ASSETS = ["/", "/assets/app.1.js", "/assets/core.1.wasm", "/manifest.webmanifest"];
const AFTER = ["/assets/later.1.wasm"];
const origin = "https://kitchen.local";

const typeOf = (path) => (path === "/" ? "text/html" : path.endsWith(".wasm") ? "application/wasm" : "text/javascript");
const built = (path, version) => `${path} ${version}`;
const sumOf = (text) => createHash("sha256").update(text).digest().subarray(0, 6).toString("base64");
const said = (answer) => answer?.text();
const until = async (so) => {
  for (let i = 0; i < 5_000 && !so(); i++) await new Promise((done) => setTimeout(done, 1));
  assert.ok(so());
};

/** A phone stands in for the browser around a service worker: its caches, and the network of one moment. */
function phone() {
  const it = { caches: new Map(), net: new Map(), asked: [], skipped: 0, claimed: 0, pages: new Map(), timers: [], work: [] };
  it.reply = (body, status = 200, type = "text/javascript") => ({ body, status, type });
  const pathOf = (request) => new URL(typeof request === "string" ? request : request.url, origin).pathname;
  const made = ({ body, status, type }) => new Response(body, { status, headers: { "content-type": type } });
  const fetchIt = async (request, init = {}) => {
    const path = pathOf(request);
    it.asked.push({ path, cache: init.cache });
    const answer = it.net.get(path);
    if (!answer) throw new TypeError("no network");
    if (answer.stalls === "head")
      return new Promise((_, reject) => init.signal.addEventListener("abort", () => reject(init.signal.reason)));
    if (answer.stalls !== "body") return made(answer);
    const stream = new ReadableStream({
      start(into) {
        into.enqueue(new TextEncoder().encode(answer.body.slice(0, 3)));
        init.signal.addEventListener("abort", () => into.error(init.signal.reason));
      },
    });
    return new Response(stream, { headers: { "content-type": answer.type } });
  };
  const keptIn = (name, path) => it.caches.get(name)?.get(path)?.clone();
  const cacheOf = (name) => ({
    put: async (path, answer) => {
      const bytes = await answer.arrayBuffer(); // one that breaks off is not kept
      it.caches.get(name).set(pathOf(path), new Response(bytes, { headers: answer.headers }));
    },
    match: async (path) => keptIn(name, pathOf(path)),
    delete: async (path) => it.caches.get(name).delete(pathOf(path)),
  });
  it.boot = (version) => {
    const heard = {};
    const globals = {
      VERSION: version,
      ASSETS,
      AFTER,
      SUMS: Object.fromEntries([...ASSETS, ...AFTER].map((path) => [path, sumOf(built(path, version))])),
      URL,
      Response,
      AbortController,
      crypto,
      btoa,
      TypeError,
      console: { warn: () => {} },
      fetch: fetchIt,
      setTimeout: (run, ms, ...more) => it.timers.push({ ms, run: () => run(...more) }) - 1,
      clearTimeout: (id) => delete it.timers[id],
      caches: {
        open: async (name) => {
          if (!it.caches.has(name)) it.caches.set(name, new Map());
          return cacheOf(name);
        },
        keys: async () => [...it.caches.keys()],
        delete: async (name) => it.caches.delete(name),
        match: async (path) => [...it.caches.keys()].map((name) => keptIn(name, pathOf(path))).find(Boolean),
      },
      location: { origin },
      addEventListener: (type, run) => {
        heard[type] = run;
      },
      skipWaiting: () => it.skipped++,
      clients: { claim: async () => void it.claimed++, get: async (id) => it.pages.get(id) },
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
      say: (data, source = { id: "page", postMessage: () => {} }) => {
        let work;
        heard.message({ data, source, waitUntil: (promise) => (work = promise) });
        return work;
      },
      get: async (path, mode = "no-cors", { method = "GET", cache = "default", page = "" } = {}) => {
        let answer = null;
        const request = { url: origin + path, mode, method, cache };
        heard.fetch({
          request,
          resultingClientId: page,
          respondWith: (given) => (answer = given),
          waitUntil: (promise) => it.work.push(promise),
        });
        return answer;
      },
    };
  };
  /** A page that is open, and what it is told. */
  it.page = (id) => {
    const page = {
      id,
      url: `${origin}/hold`,
      told: [],
      loads: 0,
      postMessage: (word) => page.told.push(word),
      navigate: async () => page.loads++,
    };
    it.pages.set(id, page);
    return page;
  };
  /** Lets the waits of so many ms be over, once there are some. */
  it.pass = async (ms) => {
    await until(() => it.timers.some((timer) => timer?.ms === ms));
    for (const [id, timer] of it.timers.entries()) {
      if (timer?.ms !== ms) continue;
      delete it.timers[id];
      timer.run();
    }
    if (ms === SAYS_SO) await Promise.all(it.work.splice(0));
  };
  it.serve = (version) => {
    for (const path of [...ASSETS, ...AFTER]) it.net.set(path, it.reply(built(path, version), 200, typeOf(path)));
  };
  it.spoil = (version, path, body, type = typeOf(path)) =>
    it.caches.get(`brinebell-${version}`).set(path, new Response(body, { headers: { "content-type": type } }));
  it.holds = async (version, path) => said(keptIn(`brinebell-${version}`, path));
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

const HEAD = 15_000;
const IDLE = 120_000;
const SAYS_SO = 8_000;

test("the whole app is fetched past the browser's cache, the page last, or not at all", async () => {
  const { it } = await installed();
  assert.deepEqual(it.asked.map(({ path }) => path).sort(), [...ASSETS].sort());
  assert.equal(it.asked.at(-1).path, "/");
  for (const { cache } of it.asked) assert.equal(cache, "reload");
  const other = phone();
  other.serve("1");
  other.net.set("/assets/core.1.wasm", other.reply("gone", 404));
  await assert.rejects(other.boot("1").install(), /core\.1\.wasm: 404/);
  assert.equal(await other.holds("1", "/"), undefined);
});

test("what comes after the first screens is fetched when the page says so, once, and is there without the server", async () => {
  const { it, worker } = await installed();
  it.net.clear();
  await worker.say("after");
  assert.equal((await worker.get(AFTER[0])).status, 404);
  it.serve("1");
  await worker.say("after");
  const asked = it.asked.length;
  await worker.say("after");
  assert.equal(it.asked.length, asked);
  it.net.clear();
  assert.equal(await said(await worker.get(AFTER[0])), built(AFTER[0], 1));
});

test("with the server dead every address of the app opens its page", async () => {
  const { it, worker } = await installed();
  it.net.clear();
  for (const path of ["/", "/batch/0190", "/wall", "/join?code=AB2K", "/start/thigh?g=900"]) {
    assert.equal(await said(await worker.get(path, "navigate")), "/ 1", path);
  }
  assert.equal(await said(await worker.get("/assets/app.1.js")), "/assets/app.1.js 1");
});

test("over a path that never answers, what is kept waits for nothing", async () => {
  const { it, worker } = await installed();
  for (const path of ASSETS) it.net.set(path, { stalls: "head" });
  const asked = it.asked.length;
  assert.equal(await said(await worker.get("/", "navigate")), "/ 1");
  for (const path of ASSETS.slice(1)) assert.equal(await said(await worker.get(path)), built(path, 1));
  assert.equal(it.asked.length, asked);
});

for (const [stalls, ms, what] of [
  ["head", HEAD, /core\.1\.wasm: no answer/],
  ["body", IDLE, /core\.1\.wasm: no more of it came/],
]) {
  test(`an installation whose file stalls (${stalls}) is given up, and the next one fetches only what is lacking`, async () => {
    const it = phone();
    it.serve("1");
    it.net.set("/assets/core.1.wasm", { ...it.net.get("/assets/core.1.wasm"), stalls });
    const given = it.boot("1").install();
    given.catch(() => {});
    await until(
      () => it.caches.get("brinebell-1")?.size === ASSETS.length - 2 && it.asked.some(({ path }) => path === "/assets/core.1.wasm"),
    );
    await it.pass(ms);
    await assert.rejects(given, what);
    it.serve("1");
    it.asked.length = 0;
    const worker = it.boot("1");
    await worker.install();
    assert.deepEqual(
      it.asked.map(({ path }) => path),
      ["/assets/core.1.wasm", "/"],
    );
    await worker.activate();
    for (const path of ASSETS) assert.equal(await it.holds("1", path), built(path, 1));
  });
}

test("a file that only the server has and that stalls is given up", async () => {
  const { it, worker } = await installed();
  it.net.set("/assets/lazy.0.js", { stalls: "head" });
  const answer = worker.get("/assets/lazy.0.js");
  await it.pass(HEAD);
  assert.equal((await answer).status, 404);
});

test("where there is no page and the kitchen does not answer, the browser is told so in words, and looks again by itself", async () => {
  const { it, worker } = await installed();
  it.caches.get("brinebell-1").delete("/");
  it.net.set("/", { stalls: "head" });
  const answer = worker.get("/hold", "navigate");
  await it.pass(HEAD);
  const text = await said(await answer);
  assert.match(text, /the kitchen does not answer.*la cocina no responde/);
  assert.match(text, /http-equiv=refresh/);
  it.serve("1");
  assert.equal(await said(await worker.get("/hold", "navigate")), "/ 1");
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
    assert.equal(await worker.get(path, mode, { method }), null, path);
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

test("somebody else's page, answered to everything, is installed as nothing", async () => {
  const it = phone();
  for (const path of ASSETS) it.net.set(path, it.reply("<!doctype html>Sign in", 200, "text/html"));
  await assert.rejects(it.boot("1").install(), /is not what was built/);
  assert.deepEqual([...it.caches.get("brinebell-1").keys()], []);
  it.serve("1");
  it.net.set("/assets/core.1.wasm", it.reply("/assets/core", 200, "application/wasm"));
  await assert.rejects(it.boot("1").install(), /core\.1\.wasm is not what was built/, "nor is half of a file");
});

const SPOILT = [
  ["a file that is cut off", (it, version) => it.spoil(version, "/assets/core.1.wasm", "/assets/co")],
  ["a page in a file's place", (it, version) => it.spoil(version, "/assets/core.1.wasm", "<!doctype html>", "text/html")],
  ["a page of somebody else's", (it, version) => it.spoil(version, "/", "<!doctype html>Sign in", "text/html")],
  ["a script that is cut off", (it, version) => it.spoil(version, "/assets/app.1.js", "/assets")],
  ["a file that is not there", (it, version) => it.caches.get(`brinebell-${version}`).delete("/assets/app.1.js")],
];

for (const [what, spoil] of SPOILT) {
  test(`${what}: the page that does not come up is loaded again once it is mended, one that came up is told`, async () => {
    const { it } = await installed();
    spoil(it, 1);
    const worker = it.boot("1");
    const page = it.page("a");
    await worker.get("/", "navigate", { page: "a" });
    await it.pass(SAYS_SO);
    for (const path of ASSETS) assert.equal(await it.holds("1", path), built(path, 1));
    assert.deepEqual([page.loads, page.told], [1, []]);

    spoil(it, 1);
    const later = it.boot("1");
    const other = it.page("b");
    await later.get("/", "navigate", { page: "b" });
    const asked = it.asked.length;
    await later.say("after", other);
    assert.deepEqual(
      it.asked.slice(asked).filter(({ path }) => !AFTER.includes(path)),
      [],
      "a start is not slowed down",
    );
    await it.pass(SAYS_SO);
    assert.deepEqual([other.loads, other.told], [0, []]);
    await later.say("after", other);
    assert.deepEqual([other.loads, other.told], [0, ["mended"]]);
    for (const path of ASSETS) assert.equal(await it.holds("1", path), built(path, 1));
  });

  test(`${what}, after an update, and no server: the version before comes up, and the new one once it is whole`, async () => {
    const { it } = await installed("1");
    it.serve("2");
    const young = it.boot("2");
    await young.install();
    await young.activate();
    spoil(it, 2);
    it.net.clear();
    const worker = it.boot("2");
    const page = it.page("a");
    await worker.get("/", "navigate", { page: "a" });
    await it.pass(SAYS_SO);
    assert.equal(page.loads, 1);
    assert.equal(await said(await worker.get("/", "navigate")), "/ 1");

    it.serve("2");
    const old = it.page("b");
    await worker.say("after", old);
    await worker.say("after", old);
    assert.deepEqual(old.told, ["mended"], "it is loaded again at a quiet moment");
    assert.equal(await said(await worker.get("/", "navigate")), "/ 2");
    for (const path of ASSETS) assert.equal(await it.holds("2", path), built(path, 2));
  });
}

test("without a version before, a page whose rules do not come up stays, and is told once they are mended", async () => {
  const { it, worker } = await installed();
  it.spoil("1", "/assets/core.1.wasm", "half");
  it.net.clear();
  const page = it.page("a");
  await worker.say("mend", page);
  assert.deepEqual(page.told, []);
  assert.equal(await said(await worker.get("/", "navigate")), "/ 1");
  it.serve("1");
  await worker.say("mend", page);
  assert.deepEqual(page.told, ["mended"]);
});

test("who asks anew, since what is kept is of no use, gets it from the kitchen, and so does everybody from then on", async () => {
  const { it, worker } = await installed();
  it.spoil("1", "/assets/core.1.wasm", "half");
  assert.equal(await said(await worker.get("/assets/core.1.wasm")), "half");
  assert.equal(await said(await worker.get("/assets/core.1.wasm", "cors", { cache: "reload" })), built("/assets/core.1.wasm", 1));
  it.net.clear();
  assert.equal(await said(await worker.get("/assets/core.1.wasm")), built("/assets/core.1.wasm", 1));
  assert.equal((await worker.get("/assets/core.1.wasm", "cors", { cache: "reload" })).status, 404);
  assert.equal(await said(await worker.get("/assets/core.1.wasm")), built("/assets/core.1.wasm", 1), "what is kept stays");
});

test("an update waits until the page says so", async () => {
  const { it, worker } = await installed();
  const next = it.boot("2");
  it.serve("2");
  await next.install();
  assert.equal(it.skipped, 0);
  assert.equal(await said(await worker.get("/", "navigate")), "/ 1", "the old version still serves its own page");
  next.say("something else");
  assert.equal(it.skipped, 0);
  next.say("swap");
  assert.equal(it.skipped, 1);
});

test("a new version keeps the files of the one before for pages that still run, and drops older ones", async () => {
  const { it } = await installed("1");
  it.spoil("1", "/assets/lazy.1.js", "lazy");
  it.caches.set("someone-else", new Map());
  for (const version of ["2", "3"]) {
    it.serve(version);
    const worker = it.boot(version);
    await worker.install();
    await worker.activate();
    if (version === "2") assert.equal(await said(await worker.get("/assets/lazy.1.js")), "lazy");
  }
  assert.deepEqual([...it.caches.keys()].sort(), ["brinebell-2", "brinebell-3", "someone-else"]);
});

test("a version whose installation broke off is not taken for the one before", async () => {
  const { it } = await installed("1");
  it.spoil("1", "/assets/lazy.1.js", "lazy");
  it.serve("2");
  it.net.delete("/assets/core.1.wasm");
  await assert.rejects(it.boot("2").install());
  it.serve("3");
  const worker = it.boot("3");
  await worker.install();
  await worker.activate();
  assert.deepEqual([...it.caches.keys()], ["brinebell-1", "brinebell-3"]);
  assert.equal(await said(await worker.get("/assets/lazy.1.js")), "lazy");
});
