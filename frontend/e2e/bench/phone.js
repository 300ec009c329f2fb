// What only a page can measure, on a phone four times as slow as this machine. Prints figures as JSON.
//
// The browser's own throttle does not reach workers, where the core runs; so the whole renderer process is stopped and
// continued (internal/bench/slow.go), and an empty Go program is measured in the same way beside it.
import { execFileSync } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { OwnChromium } from "../lib/browser.js";
import { Cook } from "../lib/cook.js";
import { size } from "../lib/phone.js";
import { pause, Server } from "../lib/server.js";
import { middle, most, scale, slowly } from "./slowly.js";

const taps = 80;

const closing = [];
const t = { after: (close) => closing.unshift(close) };
const folder = mkdtempSync(join(tmpdir(), "brinebell-bench-"));
t.after(() => rmSync(folder, { recursive: true, force: true }));
try {
  console.log(JSON.stringify(await measure()));
} finally {
  for (const close of closing) await close();
}

async function measure() {
  const server = await Server.open(t);
  const chromium = await OwnChromium.open(t);
  const empty = await emptyGo();
  const figures = await startUps(chromium, server, empty);
  return [...figures, ...(await tapTimes(chromium, server))];
}

/** A page whose worker runs a Go program that does nothing. */
async function emptyGo() {
  writeFileSync(join(folder, "go.mod"), "module empty\n\ngo 1.26\n");
  writeFileSync(join(folder, "main.go"), "package main\n\nfunc main() {}\n");
  execFileSync("go", ["build", "-trimpath", "-ldflags=-s -w", "-o", "empty.wasm", "."], {
    cwd: folder,
    env: { ...process.env, GOOS: "js", GOARCH: "wasm", GOFLAGS: "-mod=mod" },
  });
  const loader = readFileSync(join(execFileSync("go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib/wasm/wasm_exec.js"));
  const worker = `${loader};
    (async () => {
      const go = new Go();
      const module = await WebAssembly.compileStreaming(fetch("/empty.wasm"));
      await go.run(await WebAssembly.instantiate(module, go.importObject));
      postMessage("up");
    })();`;
  const page = `<!doctype html><title>empty</title><script>
    const began = performance.now();
    new Worker("/worker.js").onmessage = () => (globalThis.took = performance.now() - began);</script>`;
  const files = {
    "/": ["text/html", page],
    "/worker.js": ["text/javascript", worker],
    "/empty.wasm": ["application/wasm", readFileSync(join(folder, "empty.wasm"))],
  };
  const site = createServer((ask, answer) => {
    const [type, body] = files[ask.url] ?? ["text/plain", ""];
    answer.writeHead(body ? 200 : 404, { "content-type": type, "cache-control": "public, max-age=3600" });
    answer.end(body);
  });
  site.listen(0, "127.0.0.1");
  await once(site, "listening");
  t.after(() => site.close());
  return `http://localhost:${site.address().port}/`;
}

// Notes in the page when something was first painted and when the core had drawn it.
function watch() {
  const seen = { painted: 0, live: 0, worker: 0 };
  globalThis.seen = seen;
  const look = () => {
    const app = document.getElementById("app");
    if (!seen.painted && app?.querySelector("[data-key], .strip")) seen.painted = performance.now();
    if (!seen.live && globalThis.brinebell?.live) {
      seen.live = performance.now();
      const script = performance.getEntriesByType("resource").find(({ name }) => /worker[^/]*\.js/.test(name));
      seen.worker = script ? script.startTime : 0;
      return;
    }
    requestAnimationFrame(look);
  };
  look();
}

/** Cold starts from the phone's own cache, in turn with the empty Go program: before the phone has rehearsed (worker/idle.js) and after. */
async function startUps(chromium, server, empty) {
  const page = await chromium.context.newPage();
  await page.setViewportSize(size);
  const phone = new Cook(page, server, "phone");
  phone.touch = false;
  await phone.goes("/");
  await page.evaluate(() => navigator.serviceWorker.ready);
  await pause(4000);
  await page.addInitScript(watch);
  const bare = await chromium.context.newPage();
  await bare.goto(empty);
  await bare.waitForFunction(() => globalThis.took);
  const usual = await loop(page);
  const speed = await slowly(chromium, () => loop(page));
  const fresh = await starts(chromium, page, bare, 12);
  await page.bringToFront();
  await rehearsed(page);
  const { ours, theirs, painted } = await starts(chromium, page, bare, 24);
  await page.close();
  await bare.close();
  const ratio = (one) => middle(one.ours.map((ms, i) => ms / one.theirs[i]));
  return [
    scale("slowed pages: a fixed loop takes", speed / usual, "x as long"),
    scale("worker start to first screen, slowed 4x", middle(ours), "ms"),
    scale("empty Go wasm, slowed 4x", middle(theirs), "ms"),
    most("worker start to first screen, slowed 4x", ratio({ ours, theirs }), "x an empty Go wasm", 2.5),
    scale("the same, a version's first starts", ratio(fresh), "x an empty Go wasm"),
    most("last known line painted, slowed 4x", middle([...painted, ...fresh.painted]), "ms after navigation", 300),
  ];
}

async function starts(chromium, page, bare, times) {
  const [ours, theirs, painted] = [[], [], []];
  for (let i = 0; i < times; i++) {
    await page.bringToFront(); // behind another it is given a frame a second, and what it has drawn is seen only then
    await slowly(chromium, async () => {
      await page.reload({ waitUntil: "commit" });
      await page.waitForFunction(() => globalThis.seen?.live > 0, null, { timeout: 60_000 });
    });
    const seen = await page.evaluate(() => globalThis.seen);
    await bare.bringToFront();
    await slowly(chromium, async () => {
      await bare.reload({ waitUntil: "commit" });
      await bare.waitForFunction(() => globalThis.took, null, { timeout: 60_000 });
    });
    ours.push(seen.live - seen.worker);
    painted.push(seen.painted);
    theirs.push(await bare.evaluate(() => globalThis.took));
    console.error(
      `  start ${i + 1}: line painted ${seen.painted.toFixed(0)} ms, core drew ${ours[i].toFixed(0)} ms, empty Go ${theirs[i].toFixed(0)} ms`,
    );
  }
  return { ours, theirs, painted };
}

/** Waits until the phone, left alone, has noted on its shelf that it has rehearsed, and a little longer, for the browser to keep the code. */
async function rehearsed(page) {
  const until = Date.now() + 180_000;
  while (!(await page.evaluate(lastRehearsal))) {
    if (Date.now() > until) throw new Error("the phone has not rehearsed in three minutes");
    await pause(1000);
  }
  await pause(3000);
}

function lastRehearsal() {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open("brinebell");
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const db = opening.result;
      const asked = db.transaction("device").objectStore("device").get("rehearsed");
      asked.onsuccess = () => {
        db.close();
        resolve(asked.result?.at ?? 0);
      };
    };
  });
}

function loop(page) {
  return page.evaluate(() => {
    let sum = 0;
    const run = () => {
      const began = performance.now();
      for (let i = 0; i < 60_000_000; i++) sum = (sum + i * 7) | 0;
      return performance.now() - began;
    };
    run(); // the first time it is compiled
    return Math.min(run(), run(), run());
  });
}

/** From a tap until it is durable and drawn: the core draws only after the shelf has answered. */
async function tapTimes(chromium, server) {
  const page = await chromium.context.newPage();
  await page.setViewportSize(size);
  const phone = new Cook(page, server, "phone");
  phone.touch = false;
  await phone.isHeldBy("Teo");
  await phone.goes("/hold");
  const times = await slowly(chromium, async () => {
    const list = [];
    for (let i = 0; i < taps; i++) list.push(await page.evaluate(oneTap, i % 2 === 1));
    return list;
  });
  await page.close();
  times.sort((a, b) => a - b);
  return [
    scale("tap to durable and drawn, slowed 4x: p50", middle(times), "ms"),
    most("tap to durable and drawn, slowed 4x: p95", times[Math.floor(times.length * 0.95)], "ms", 100),
  ];
}

/** Sells a piece or takes the sale back, and waits until the tray shows another number. */
function oneTap(back) {
  const tray = [...document.querySelectorAll("li[data-key]")].find((li) => li.querySelector("[data-do=count]"));
  const shown = () => document.querySelector(`li[data-key="${tray.dataset.key}"] .left`)?.textContent;
  const button = back ? document.querySelector("[data-part=undo] button") : tray.querySelector("[data-do=count]");
  return new Promise((done) => {
    const before = shown();
    const began = performance.now();
    const look = () => (shown() === before ? requestAnimationFrame(look) : done(performance.now() - began));
    button.click();
    look();
  });
}
