// The service worker keeps the whole app of one version in one cache, so that it opens without the kitchen's server.
// It never takes over by itself: the page says when nobody is in the middle of a step.
import { fetchPatiently } from "./patience.js";

const scope = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (globalThis));
const PREFIX = "brinebell-";
const CACHE = PREFIX + VERSION;
const SHELL = "/";
const TOOK_OVER = "/took-over"; // lies in the cache of each version that pages have run with
const NOT_PAGES = /^\/(assets\/|api\/|hello$|join$|line$|healthz$|readyz$|metrics$|photo|demo\/|sw\.js$)/;
const AT_ONCE = 4; // files: a browser opens six connections, and the page needs some; what waits for one seems dead
const SAYS_SO = 8_000; // ms in which a page that came up has said a word
const FILES = ASSETS.filter((path) => path !== SHELL);

scope.addEventListener("install", (event) => event.waitUntil(install()));
scope.addEventListener("activate", (event) => event.waitUntil(activate()));
scope.addEventListener("fetch", (event) => answer(event));
scope.addEventListener("message", (event) => {
  if (event.data === "swap") scope.skipWaiting();
  else if (event.data === "after") event.waitUntil(after(event.source));
  else if (event.data === "mend") event.waitUntil(mendFor(event.source));
});

/**
 * install fetches every file past the browser's own cache; one that does not come whole fails this version. What came before that
 * is not fetched again. The page comes last: where it lies all that it asks for is there.
 */
async function install() {
  const cache = await caches.open(CACHE);
  await each(FILES, (path) => hold(cache, path));
  await hold(cache, SHELL);
}

/** @param {readonly string[]} list @param {(path: string) => Promise<unknown>} work */
async function each(list, work) {
  const paths = list.values();
  const hand = async () => {
    for (const path of paths) await work(path);
  };
  await Promise.all(Array.from({ length: AT_ONCE }, hand));
}

/** @type {Set<string>} */
const whole = new Set(); // files that were looked at since this worker came up

/** hold makes sure that a file lies in the cache as it was built; it returns whether it had to be fetched. @param {Cache} cache @param {string} path */
async function hold(cache, path) {
  if (whole.has(path)) return false;
  const kept = await cache.match(path);
  const good = Boolean(kept && (await isWhole(kept, path)));
  if (!good) await fetched(cache, path);
  whole.add(path);
  return !good;
}

/** fetched brings a file past the browser's own cache and keeps it, if it is what was built. @param {Cache} cache @param {string} path */
async function fetched(cache, path) {
  const answer = await fetchPatiently(path, { cache: "reload" });
  if (!answer.ok) throw new TypeError(`${path}: ${answer.status}`);
  if (!(await isWhole(answer.clone(), path))) throw new TypeError(`${path} is not what was built`);
  await cache.put(path, answer.clone());
  return answer;
}

/** isWhole: a portal of somebody else's Wi-Fi answers everything with its own page. @param {Response} answer @param {string} path */
async function isWhole(answer, path) {
  const sum = await crypto.subtle.digest("SHA-256", await answer.arrayBuffer());
  return btoa(String.fromCharCode(...new Uint8Array(sum, 0, 6))) === SUMS[path];
}

/** @type {ReturnType<typeof mend> | null} */
let mending = null;
/** @type {Set<string>} */
const heard = new Set(); // pages that have said something

/**
 * after brings what a phone can do without until its first screens are there; what does not come is asked for again. Once a page has
 * been up for a little it looks whether all that is kept is as it was built.
 * @param {any} page
 */
async function after(page) {
  const early = !heard.has(page?.id);
  heard.add(page?.id);
  if ((await mended(early ? AFTER : [...AFTER, ...ASSETS])).some((path) => !AFTER.includes(path))) page?.postMessage("mended");
}

/** mended looks through what is kept, and returns what had to be fetched. @param {readonly string[]} list */
async function mended(list) {
  mending ??= mend(list).finally(() => (mending = null));
  return (await mending).came;
}

/** mend fetches what is not kept as it was built; the page last, so that one that lacks something is not begun with. @param {readonly string[]} list */
async function mend(list) {
  const cache = await caches.open(CACHE);
  /** @type {string[]} */
  const came = [];
  /** @type {string[]} */
  const lacking = [];
  const look = async (/** @type {string} */ path) => {
    try {
      if (await hold(cache, path)) came.push(path);
    } catch (err) {
      console.warn("not kept as it was built:", String(err));
      lacking.push(path);
    }
  };
  await each(
    list.filter((path) => path !== SHELL),
    look,
  );
  if (list.includes(SHELL) && !lacking.some((path) => ASSETS.includes(path))) await look(SHELL);
  return { came, lacking };
}

/** helped: a page did not come up. It mends what is kept, or else steps back, and says whether it may come up now. */
async function helped() {
  await mending;
  whole.clear();
  const { came, lacking } = await mend(ASSETS);
  return came.length > 0 || (lacking.length > 0 && (await stepsBack()));
}

/** stepsBack leaves the page to the version before until this one is whole again; it says whether there is one. */
async function stepsBack() {
  const cache = await caches.open(CACHE);
  if (!(await cache.match(SHELL))) return false;
  for (const name of await caches.keys()) {
    if (!name.startsWith(PREFIX) || name === CACHE || !(await (await caches.open(name)).match(SHELL))) continue;
    return cache.delete(SHELL);
  }
  return false;
}

/** mendFor helps a page whose rules do not come up. @param {any} page */
async function mendFor(page) {
  if (await helped()) page?.postMessage("mended");
}

/** followed: a page that says nothing did not come up. @param {string} id */
async function followed(id) {
  await new Promise((resolve) => setTimeout(resolve, SAYS_SO));
  if (!id || heard.has(id) || !(await helped()) || heard.has(id)) return;
  const page = /** @type {WindowClient | undefined} */ (await scope.clients.get(id));
  await page?.navigate(page.url);
}

/** activate keeps the version that pages ran with before this one: they may still ask for its files. */
async function activate() {
  const ours = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  const ran = [];
  for (const name of ours) if (await (await caches.open(name)).match(TOOK_OVER)) ran.push(name);
  const before = ran.at(-1) ?? ours.at(-1);
  await Promise.all(ours.filter((name) => name !== before).map((name) => caches.delete(name)));
  await (await caches.open(CACHE)).put(TOOK_OVER, new Response());
  await scope.clients.claim();
}

/** @param {FetchEvent} event */
function answer(event) {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== scope.location.origin) return;
  if (request.mode === "navigate") {
    if (NOT_PAGES.test(url.pathname) && url.pathname !== "/join") return;
    event.respondWith(page());
    event.waitUntil(followed(event.resultingClientId).catch(() => {}));
  } else if (url.pathname.startsWith("/assets/") || ASSETS.includes(url.pathname)) {
    event.respondWith(asset(request, url.pathname));
  }
}

/** page is the app's one page, whatever its address: of this version, else of the one before, else from the kitchen. */
async function page() {
  const cache = await caches.open(CACHE);
  return (await cache.match(SHELL)) ?? (await caches.match(SHELL)) ?? fetchPatiently(SHELL).catch(away);
}

/**
 * asset answers from this version's cache, then from the one before, then from the server. A file that is nowhere is
 * a 404, never a page. Who asks anew could not use what is kept.
 * @param {Request} request
 * @param {string} path
 */
async function asset(request, path) {
  const cache = await caches.open(CACHE);
  const anew = request.cache === "reload" && path in SUMS;
  try {
    if (anew) return await fetched(cache, path);
    const kept = (await cache.match(path)) ?? (await caches.match(path));
    if (kept) return kept;
    const answer = await fetchPatiently(request);
    const isPage = (answer.headers.get("content-type") ?? "").startsWith("text/html");
    return isPage ? missing(path) : answer;
  } catch {
    return missing(path);
  }
}

/** @param {string} path */
function missing(path) {
  return new Response(`${path} is not kept on this device`, { status: 404, headers: { "content-type": "text/plain" } });
}

/** away stands in for the page where there is none: it says so, and looks again by itself. */
function away() {
  const text =
    "Brinebell is not kept on this device, and the kitchen does not answer. It goes on trying. · Brinebell no está guardado en este dispositivo y la cocina no responde. Lo sigue intentando.";
  const body = `<!doctype html><meta charset=utf-8><meta name=viewport content="width=device-width"><meta http-equiv=refresh content=10><p>${text}`;
  return new Response(body, { status: 503, headers: { "content-type": "text/html; charset=utf-8" } });
}
