// The service worker keeps the whole app of one version in one cache, so that it opens without the kitchen's server.
// It never takes over by itself: the page says when nobody is in the middle of a step.

const scope = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (globalThis));
const PREFIX = "brinebell-";
const CACHE = PREFIX + VERSION;
const SHELL = "/";
const NOT_PAGES = /^\/(assets\/|api\/|hello$|join$|line$|healthz$|readyz$|metrics$|photo|demo\/|sw\.js$)/;

scope.addEventListener("install", (event) => event.waitUntil(install()));
scope.addEventListener("activate", (event) => event.waitUntil(activate()));
scope.addEventListener("fetch", (event) => answer(event));
scope.addEventListener("message", (event) => {
  if (event.data === "swap") scope.skipWaiting();
  else if (event.data === "after") event.waitUntil(fetchAfter());
});

/** install fetches every file past the browser's own cache; one that is missing fails the whole version. */
async function install() {
  const cache = await caches.open(CACHE);
  await cache.addAll(ASSETS.map((path) => new Request(path, { cache: "reload" })));
}

/** fetchAfter brings what a phone can do without until its first screens are there; what does not come is asked for again. */
async function fetchAfter() {
  const cache = await caches.open(CACHE);
  for (const path of AFTER) if (!(await cache.match(path))) await cache.add(new Request(path, { cache: "reload" }));
}

/** activate keeps the version before this one: its pages may still ask for their files. */
async function activate() {
  const ours = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(ours.slice(0, -1).map((name) => caches.delete(name)));
  await scope.clients.claim();
}

/** @param {FetchEvent} event */
function answer(event) {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== scope.location.origin) return;
  if (request.mode === "navigate") {
    if (!NOT_PAGES.test(url.pathname) || url.pathname === "/join") event.respondWith(page());
  } else if (url.pathname.startsWith("/assets/") || ASSETS.includes(url.pathname)) {
    event.respondWith(asset(request, url.pathname));
  }
}

/** page is the app's one page, whatever its address. */
async function page() {
  const cache = await caches.open(CACHE);
  return (await cache.match(SHELL)) ?? fetch(SHELL);
}

/**
 * asset answers from this version's cache, then from the one before, then from the server. A file that is nowhere is
 * a 404, never a page.
 * @param {Request} request
 * @param {string} path
 */
async function asset(request, path) {
  const cache = await caches.open(CACHE);
  const kept = (await cache.match(path)) ?? (await caches.match(path));
  if (kept) return kept;
  try {
    const answer = await fetch(request);
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
