// Which functions of the core's first part no start needs: node e2e/unused.mjs [FILE], by default slim/unused.txt. It runs phones whose
// core notes what it calls: a first start, starts from what was kept, in both languages, on every early screen, while others work and
// bells ring. A list that is out of date does no harm but to speed: what it does not name stays in the first part.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { ALWAYS, buildCore } from "../buildcore.mjs";
import { called, count } from "../slim/count.mjs";
import { open } from "../slim/module.mjs";
import { EARLY } from "../worker/early.js";
import { openBrowser } from "./lib/browser.js";
import { Cook } from "./lib/cook.js";
import { size } from "./lib/phone.js";
import { pause, Server } from "./lib/server.js";
import { Wifi } from "./lib/wifi.js";

const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const folder = join(root, "build", "counted");
const PATHS = EARLY.map((name) => `/${name}`);
const LEAST = 500; // bytes of a function that is worth a line
const WORK = 90_000; // ms that the demo's crew works, sixty times as fast as life

const closing = [];
const t = { after: (close) => closing.unshift(close) };
try {
  await main(process.argv[2] ?? join(root, "frontend", "slim", "unused.txt"));
} finally {
  for (const close of closing) await close();
}
process.exit(0);

async function main(file) {
  mkdirSync(folder, { recursive: true });
  const path = join(folder, "core.wasm");
  await buildCore(path, { unused: [] });
  const first = readFileSync(path);
  const { bodies, imports } = open(first);
  const { names } = open(readFileSync(join(folder, "whole.wasm")));
  const hits = new Set();
  const parts = { core: count(first), rest: readFileSync(join(folder, "rest.wasm")), later: readFileSync(join(folder, "later.wasm")) };
  for (const more of [[], ["--evening"]]) await shift(await Server.open(t, { more }), parts, bodies.length, hits);
  const unused = bodies
    .map(({ start, end }, i) => ({ size: end - start, name: names.get(i + imports) ?? "", i }))
    .filter(({ size, name, i }) => !hits.has(i) && size >= LEAST && name && !ALWAYS.test(name));
  writeFileSync(
    file,
    `${unused
      .map(({ name }) => name)
      .sort()
      .join("\n")}\n`,
  );
  const sum = unused.reduce((all, { size }) => all + size, 0);
  console.log(`${hits.size} of ${bodies.length} functions were called; ${unused.length} that were not, of ${sum} bytes, are in ${file}`);
}

/** One kitchen in which a phone starts again and again while others work. */
async function shift(server, parts, functions, hits) {
  const browser = await openBrowser(t);
  const phone = await counting(browser, server, parts);
  const note = async () => {
    for (const worker of phone.page.workers())
      for (const i of await worker.evaluate(calls, [called(0).slice(0, -1), functions])) hits.add(i);
    console.log(`  ${hits.size} called`);
  };
  const other = await Cook.open(t, { browser, server, name: "other" });
  await other.isHeldBy("Maren");
  const sells = async () => {
    await other.goesWithin("/hold");
    await other.page.evaluate(() => document.querySelector("[data-do=count]")?.click());
  };
  // So soon after one another there is nothing yet that was folded; 1.5 s later there is, and with it an image.
  const starts = async (ms = 1500) => {
    for (const path of PATHS) {
      await phone.goes(path);
      await sells();
      await pause(ms);
      await note();
    }
  };
  await starts(200);
  await pause(4000);
  await starts();
  await phone.isHeldBy("Teo");
  await starts(200);
  await starts();
  await server.post("/demo/pace", { pace: 60 });
  for (const until = Date.now() + WORK; Date.now() < until; ) {
    for (const path of PATHS) {
      await phone.goesWithin(path);
      await sells();
    }
  }
  await server.post("/demo/pace", { pace: 1 });
  await note();
  await starts();
}

/** A phone whose core notes what it calls. */
async function counting(browser, server, parts) {
  const wifi = await Wifi.open(t); // without it a browser lets no worker that was changed on the way speak to this machine
  const context = await browser.newContext({ viewport: size, proxy: wifi.proxy, hasTouch: true, locale: "en-US", serviceWorkers: "block" });
  await context.route(/\/assets\/(core|rest|later)\.\w+\.wasm$/, (route) => {
    const [, name] = /assets\/(\w+)\./.exec(route.request().url());
    return route.fulfill({ contentType: "application/wasm", body: Buffer.from(parts[name]) });
  });
  await context.route(/\/assets\/worker\.\w+\.js$/, async (route) => {
    const answer = await route.fetch();
    return route.fulfill({ response: answer, body: `(${watched})();${await answer.text()}` });
  });
  return new Cook(await context.newPage(), server, "counted", wifi);
}

/** Runs in the worker: keeps every instance. */
function watched() {
  const { instantiate } = WebAssembly;
  globalThis.instances = [];
  WebAssembly.instantiate = async (...what) => {
    const made = await instantiate.apply(WebAssembly, what);
    globalThis.instances.push(made.instance ?? made);
    return made;
  };
}

/** Runs in the worker: which functions were called. */
function calls([name, functions]) {
  const list = [];
  for (const { exports } of globalThis.instances ?? []) for (let i = 0; i < functions; i++) if (exports[name + i]?.value) list.push(i);
  return list;
}
