// A small site that shows the drawing alone, with screens from files and under the server's own strict policy. For
// development (node draw/dev/site.js), for pictures (node draw/shots.mjs) and for the browser tests of the drawing.
import { readdirSync, readFileSync } from "node:fs";
import { createServer } from "node:http";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { variants } from "./variants.js";

const front = fileURLToPath(new URL("../../", import.meta.url));
const policy =
  "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; connect-src 'self'; manifest-src 'self'; " +
  "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types lit-html";

/** The screens in the files of a folder, by file name. @param {string} folder */
function inFolder(folder) {
  const all = /** @type {Record<string, any>} */ ({});
  for (const file of readdirSync(folder)) {
    if (!file.endsWith(".json") || file.startsWith("words.")) continue;
    all[file.replace(".json", "")] = JSON.parse(readFileSync(`${folder}/${file}`, "utf8"));
  }
  return all;
}

/**
 * Every screen there is to look at, by name: ours, made by hand to try each part in hard circumstances, and those that
 * the core made of a kitchen at work (NAME.LANGUAGE).
 */
export function screens() {
  const own = inFolder(`${front}draw/dev/screens`);
  return { ...own, ...variants(own), ...inFolder(`${front}fixtures`) };
}

/** @param {string} lang */
function words(lang) {
  try {
    return JSON.parse(readFileSync(`${front}fixtures/words.${lang}.json`, "utf8"));
  } catch {
    return {};
  }
}

async function bundle() {
  const files = new Map();
  const made = await build({
    absWorkingDir: front,
    entryPoints: { app: "draw/dev/page.js", style: "app.css" },
    bundle: true,
    splitting: true,
    format: "esm",
    write: false,
    outdir: "/site",
    external: ["./fonts/*"],
    logLevel: "error",
  });
  for (const file of made.outputFiles) files.set(file.path.replace("/site", ""), file.contents);
  files.set("/app.css", files.get("/style.css"));
  for (const weight of ["400-normal.woff", "700-normal.woff2"]) {
    files.set(`/fonts/b612-latin-${weight}`, readFileSync(`${front}node_modules/@fontsource/b612/files/b612-latin-${weight}`));
  }
  return files;
}

const types = /** @type {Record<string, string>} */ ({ js: "text/javascript", css: "text/css", woff: "font/woff", woff2: "font/woff2" });

/** @param {number} [port] 0: any free one */
export async function site(port = 0) {
  const files = await bundle();
  const index = readFileSync(`${front}index.html`, "utf8")
    .replaceAll('"./app', '"/app')
    .replace(/<link rel="(manifest|icon|apple-touch-icon)".*\n/g, "");
  const all = screens();
  const server = createServer((request, response) => {
    const { pathname } = new URL(request.url ?? "/", "http://x");
    const file = files.get(pathname);
    response.setHeader("Content-Security-Policy", policy);
    if (pathname === "/screens.json")
      return response
        .setHeader("Content-Type", "application/json")
        .end(JSON.stringify({ all, words: { en: words("en"), es: words("es") } }));
    if (file) return response.setHeader("Content-Type", types[pathname.split(".").at(-1) ?? ""] ?? "").end(file);
    response.setHeader("Content-Type", "text/html; charset=utf-8").end(index);
  });
  await new Promise((/** @type {(v?: any) => void} */ ready) => server.listen(port, "127.0.0.1", () => ready()));
  const address = /** @type {import("node:net").AddressInfo} */ (server.address());
  return { url: `http://127.0.0.1:${address.port}`, names: Object.keys(all), close: () => server.close() };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { url, names } = await site(8090);
  for (const name of names) console.log(`${url}/?screen=${name}`);
}
