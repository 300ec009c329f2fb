// Builds frontend/dist: the core in its two parts, as buildcore.mjs left them in build, bundles with hashed names, fonts, icons,
// the service worker and its list, and the compressed twin of every file. `node frontend/build.mjs --fast` takes only those
// twins that are in the cache already.
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { basename, dirname, extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, gzipSync, constants as zlib } from "node:zlib";
import * as esbuild from "esbuild";
import { wake } from "./worker/asleep.js";
import { Rest } from "./worker/rest.js";

const here = dirname(fileURLToPath(import.meta.url));
const project = dirname(here);
const dist = join(here, "dist");
const cache = join(project, "build", "compressed");
const fast = process.argv.includes("--fast");

const TYPES = {
  ".html": "text/html; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".wasm": "application/wasm",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".woff": "font/woff",
  ".woff2": "font/woff2",
  ".txt": "text/plain; charset=utf-8",
  ".webmanifest": "application/manifest+json",
};
const PACKABLE = new Set([".html", ".js", ".css", ".wasm", ".svg", ".txt", ".webmanifest"]);
const GROWS_SMALLER = 0.98; // a twin must be at least this much smaller to be worth its place

/** @type {Map<string, Buffer>} */
const files = new Map(); // path below dist -> bytes

/** @param {Buffer} bytes */
const hash = (bytes) => createHash("sha256").update(bytes).digest("hex");

/** @param {string} name @param {Buffer} bytes @returns {string} the address that the page uses */
function hashed(name, bytes) {
  const path = `assets/${basename(name, extname(name))}.${hash(bytes).slice(0, 10)}${extname(name)}`;
  files.set(path, bytes);
  return `/${path}`;
}

const goLoader = join(execFileSync("go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib", "wasm", "wasm_exec.js");

/** readWords asks the core itself for the pages' words, so that they are written down once. @param {Buffer} wasm */
async function readWords(wasm) {
  await import(goLoader);
  const go = new globalThis.Go();
  const { module, instance } = await WebAssembly.instantiate(wasm, go.importObject);
  const get = async (/** @type {string} */ name) => new WebAssembly.Module(readFileSync(join(project, "build", `${name}.wasm`)));
  for (const part of [new Rest("rest", { get }), new Rest("later", { name: "later", slot: 1, get })]) {
    part.expect(instance);
    await part.bring();
  }
  const { door } = wake(go, module, instance);
  const words = (lang) => JSON.parse(door.words(lang));
  return { en: words("en"), es: words("es") };
}

const common = {
  bundle: true,
  minify: true,
  legalComments: "none",
  target: ["es2022", "safari16.4"],
  write: false,
  logLevel: "warning",
  absWorkingDir: here,
};

/** @param {string} entry @param {string} name by its first word the server knows a worker's script @param {Record<string, string>} coreURLs */
async function bundleWorker(entry, name, coreURLs) {
  const { outputFiles } = await esbuild.build({
    ...common,
    entryPoints: [entry],
    format: "iife",
    alias: { wasm_exec: goLoader },
    define: { CORE_URLS: JSON.stringify(coreURLs) },
  });
  return hashed(name, Buffer.from(outputFiles[0].contents));
}

/** Fonts come from their package by the names that app.css uses. */
const fonts = {
  name: "fonts",
  /** @param {esbuild.PluginBuild} build */
  setup(build) {
    build.onResolve({ filter: /^\.\/fonts\/b612-/ }, ({ path }) => ({
      path: join(here, "node_modules", "@fontsource", "b612", "files", basename(path)),
    }));
  },
};

/** @param {Record<string, string>} define */
async function bundlePage(define) {
  const { outputFiles, metafile } = await esbuild.build({
    ...common,
    entryPoints: ["app.js", "app.css"],
    format: "esm",
    splitting: true,
    metafile: true,
    outdir: dist,
    entryNames: "assets/[name].[hash]",
    chunkNames: "assets/[name].[hash]",
    assetNames: "assets/[name].[hash]",
    publicPath: "/",
    loader: { ".woff": "file", ".woff2": "file", ".svg": "file" },
    plugins: [fonts],
    define,
  });
  for (const file of outputFiles) files.set(file.path.slice(dist.length + 1), Buffer.from(file.contents));
  /** @type {Record<string, string>} */
  const addresses = {};
  const early = [];
  const address = (/** @type {string} */ out) => `/${out.slice(out.indexOf("assets/"))}`;
  for (const [out, { entryPoint, imports }] of Object.entries(metafile.outputs)) {
    if (entryPoint) addresses[entryPoint] = address(out);
    if (entryPoint === "app.js") {
      for (const { path, kind } of imports)
        if (kind === "import-statement") early.push(`<link rel="modulepreload" href="${address(path)}">`);
    }
    if (/\.woff2?$/.test(out)) early.push(`<link rel="preload" href="${address(out)}" as="font" crossorigin>`);
  }
  return { addresses, early: early.join("\n") };
}

/**
 * @param {Record<string, string>} addresses by the names that index.html and the manifest use
 * @param {string} early what the page will need at once, told before it asks
 */
function pageAndManifest(addresses, early) {
  for (const icon of readdirSync(join(here, "icons"))) addresses[`icons/${icon}`] = hashed(icon, readFileSync(join(here, "icons", icon)));
  const manifest = rewrite(readFileSync(join(here, "manifest.webmanifest"), "utf8"), addresses);
  files.set("manifest.webmanifest", Buffer.from(JSON.stringify(JSON.parse(manifest))));
  files.set(
    "index.html",
    Buffer.from(
      rewrite(readFileSync(join(here, "index.html"), "utf8"), addresses).replace(
        '<link rel="stylesheet"',
        `${early}\n<link rel="stylesheet"`,
      ),
    ),
  );
}

/** @param {string} text @param {Record<string, string>} addresses */
function rewrite(text, addresses) {
  return text.replace(/"(?:\.?\/)?((?:icons\/)?[\w.-]+\.(?:js|css|svg|png))"/g, (whole, name) =>
    addresses[name] ? `"${addresses[name]}"` : whole,
  );
}

/** versionOf names a build by all that it holds. */
function versionOf() {
  const all = [...files].sort(([a], [b]) => (a < b ? -1 : 1)).map(([path, bytes]) => `${path} ${hash(bytes)}`);
  return hash(Buffer.from(all.join("\n"))).slice(0, 12);
}

/** @param {string} version */
async function serviceWorker(version) {
  const list = ["/", ...[...files.keys()].filter((path) => path !== "index.html").map((path) => `/${path}`)];
  const after = [coreURLs.later];
  const sumOf = (/** @type {string} */ path) =>
    createHash("sha256").update(/** @type {Buffer} */ (files.get(path === "/" ? "index.html" : path.slice(1))));
  const define = {
    VERSION: JSON.stringify(version),
    ASSETS: JSON.stringify(list.filter((path) => !after.includes(path))),
    AFTER: JSON.stringify(after),
    SUMS: JSON.stringify(Object.fromEntries(list.map((path) => [path, sumOf(path).digest().subarray(0, 6).toString("base64")]))),
  };
  const { outputFiles } = await esbuild.build({ ...common, entryPoints: ["sw.js"], format: "iife", define });
  files.set("sw.js", Buffer.from(outputFiles[0].contents));
}

const squeeze = {
  /** @param {Buffer} bytes */
  br: (bytes) =>
    brotliCompressSync(bytes, {
      params: {
        [zlib.BROTLI_PARAM_QUALITY]: 11,
        [zlib.BROTLI_PARAM_LGWIN]: 24,
        [zlib.BROTLI_PARAM_SIZE_HINT]: bytes.length,
      },
    }),
  /** @param {Buffer} bytes */
  gz: (bytes) => gzipSync(bytes, { level: 9 }),
};

/** twin returns the compressed bytes, from the cache where it holds them. @param {Buffer} bytes @param {"br" | "gz"} how */
function twin(bytes, how) {
  const kept = join(cache, `${hash(bytes)}.${how}`);
  if (existsSync(kept)) return readFileSync(kept);
  if (fast) return null;
  const small = squeeze[how](bytes);
  writeFileSync(`${kept}.new`, small);
  renameSync(`${kept}.new`, kept);
  return small;
}

/** @param {string} path @param {Buffer} bytes */
function put(path, bytes) {
  const to = join(dist, path);
  mkdirSync(dirname(to), { recursive: true });
  writeFileSync(to, bytes);
}

/** putTwin writes a compressed form where it is worth its place. @param {string} path @param {Buffer} bytes @param {"br" | "gz"} how */
function putTwin(path, bytes, how) {
  const small = twin(bytes, how);
  const worth = small !== null && small.length < bytes.length * GROWS_SMALLER;
  if (worth) put(`${path}.${how}`, small);
  return worth;
}

function writeAll() {
  for (const name of readdirSync(dist)) if (name !== ".keep") rmSync(join(dist, name), { recursive: true });
  mkdirSync(cache, { recursive: true });
  const list = [];
  for (const [path, bytes] of files) {
    list.push({ path: `/${path}`, hash: hash(bytes), type: TYPES[extname(path)] ?? "application/octet-stream" });
    const twins = PACKABLE.has(extname(path)) ? Object.keys(squeeze).filter((how) => putTwin(path, bytes, how)) : [];
    const spare = extname(path) === ".wasm" && twins.length === 2; // the server unpacks it for the few that ask
    if (!spare) put(path, bytes);
  }
  put("files.json", Buffer.from(JSON.stringify(list)));
}

/** report prints what a first load weighs. */
function report() {
  let raw = 0;
  let packed = 0;
  for (const [path, bytes] of files) {
    const small = join(dist, `${path}.br`);
    raw += bytes.length;
    packed += existsSync(small) ? readFileSync(small).length : bytes.length;
  }
  const kb = (n) => `${Math.round(n / 1024)} KB`;
  console.log(
    `front end: ${files.size} files, ${kb(raw)} raw, ${kb(packed)} as sent${fast ? " (what is not compressed yet counts raw)" : ""}`,
  );
}

const wasm = readFileSync(join(project, "build", "core.wasm"));
const part = (/** @type {string} */ name) => hashed(name, readFileSync(join(project, "build", name)));
const coreURLs = { first: hashed("core.wasm", wasm), rest: part("rest.wasm"), later: part("later.wasm") };
const words = await readWords(wasm);
const workerURL = await bundleWorker("worker/worker.js", "worker.js", coreURLs);
const practiceURL = await bundleWorker("worker/practice.js", "worker.practice.js", coreURLs);
const plannerURL = await bundleWorker("worker/planner.js", "worker.planner.js", coreURLs);
files.set("assets/OFL.txt", readFileSync(join(here, "node_modules", "@fontsource", "b612", "LICENSE")));
const { addresses, early } = await bundlePage({
  WORKER_URL: JSON.stringify(workerURL),
  PRACTICE_URL: JSON.stringify(practiceURL),
  PLANNER_URL: JSON.stringify(plannerURL),
  WORDS: JSON.stringify(words),
  VERSION: JSON.stringify(hash(wasm).slice(0, 10)),
});
pageAndManifest(addresses, early);
await serviceWorker(versionOf());
writeAll();
report();
process.exit(0); // the core that gave the words would wait for ever
