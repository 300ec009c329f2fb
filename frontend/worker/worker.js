// The worker owns this phone's core, store and line, or follows the tab that does.
import { Core } from "./core.js";
import { Engine } from "./engine.js";
import { Idle } from "./idle.js";
import { Picture } from "./image.js";
import { Line } from "./line.js";
import { postAll } from "./post.js";
import { ALIVE_EVERY, Seat } from "./seat.js";
import { MemoryShelf, open } from "./shelf.js";

/** @typedef {import("./sections.js").Outcome} Outcome */
/** @typedef {import("./sections.js").Screen} Screen */
/** @typedef {import("./shelf.js").Pairing} Pairing */
/** @typedef {import("./engine.js").Input} Input */
/** @typedef {import("./sections.js").Asked} Asked */
/** @typedef {import("./sections.js").Told} Told */

const scope = /** @type {DedicatedWorkerGlobalScope} */ (/** @type {unknown} */ (globalThis));
const CHANNEL = "brinebell-1"; // the number rises when tabs of two versions would misunderstand each other
const HERE_EVERY = 10_000;
const GONE_AFTER = 60_000; // a tab that froze or crashed is drawn for no longer
const LASTING = new Set(["tap", "pair", "photo", "state", "log"]);
const SOON = 500; // ms after the first drawing: to compile the rest sooner would keep a slow phone from painting it
const LATER = 3_000; // ms after the rest: the last part of the core comes when nobody waits for anything
const LOG_PIECE = 128 << 10; // bytes of a file that the core reads before it looks at taps again

const BUILD = Object.values(CORE_URLS).join(" ");
const id = Array.from(crypto.getRandomValues(new Uint32Array(2)), (n) => n.toString(36)).join("");
const channel = new BroadcastChannel(CHANNEL);

let view = id;
let path = "/";
let known = false;
let visible = false;
/** @type {import("./shelf.js").Shelf | MemoryShelf | null} */
let shelf = null;
/** @type {Promise<import("./shelf.js").Shelf> | null} */
let opening = null; // the shelf, ahead of its claim
/** @type {Engine | null} */
let engine = null;
/** @type {Line | null} */
let line = null;
/** @type {Promise<Core> | null} */
let loading = null;
let bringing = false; // the parts of the core that come after the first are asked for
/** @type {Map<string, number>} */
const heardFrom = new Map();
/** @type {Asked[]} */
const backlog = []; // what the page did before any tab owned the core
/** @type {{from: string, asked: Extract<Asked, {do: "tap"}>, at: number}[]} */
const early = []; // taps of any tab before the rules are up, and when they were made
/** @type {Map<string, Asked>} */
const abilities = new Map();
let sittingSince = 0;
/** @type {Pairing | null} */
let paired = null;
let posting = false;
let postsAgain = false; // the line was opened meanwhile
let touched = Number.NEGATIVE_INFINITY; // when somebody last used any page
let outOf = ""; // the kitchen that shut this device out

const seat = new Seat(
  id,
  {
    locks: scope.navigator.locks,
    now: () => performance.now(),
    post: (message) => channel.postMessage(message),
    claim,
  },
  { taken, lost },
);

async function claim() {
  warm();
  try {
    return await claimShelf();
  } catch (err) {
    console.error("the store does not open:", err);
    tellAll({ tell: "notice", id: "store_fail", on: true });
    shelf = new MemoryShelf();
    return shelf.claim();
  }
}

/** claimShelf takes the shelf that was opened ahead. A tab may have waited for hours with it: where it went away meanwhile, another is opened. */
async function claimShelf() {
  const ahead = opening;
  opening = null;
  const take = async (/** @type {Promise<import("./shelf.js").Shelf>} */ opened) => {
    shelf = await opened;
    return shelf.claim();
  };
  try {
    if (ahead) return await take(ahead);
  } catch (err) {
    console.warn("the store that was opened ahead is of no use:", err);
  }
  return take(openShelf());
}

/** warm brings the core up while the shelf is claimed. */
async function warm() {
  const opening = Picture.open(BUILD);
  try {
    if (!loading) throw new Error("core.wasm is not here");
    (await loading).warm(opening);
  } catch {
    (await opening)?.close(); // the core is asked for again when it is needed
  }
}

async function openShelf() {
  const slow = setTimeout(() => tellAll({ tell: "notice", id: "store_slow", on: true }), 3_000);
  try {
    return await open(BUILD, {
      blocked: () => tellAll({ tell: "notice", id: "store_blocked", on: true }),
      closed: () => seat.leave(),
    });
  } finally {
    clearTimeout(slow);
    tellAll({ tell: "notice", id: "store_slow", on: false });
    tellAll({ tell: "notice", id: "store_blocked", on: false });
  }
}

/** taken: this tab is the owner now. */
async function taken() {
  sittingSince = performance.now();
  toPage({ tell: "owner", mine: true });
  const own = shelf;
  const held = await own?.load();
  outOf = held?.out ?? "";
  for (const asked of backlog.splice(0)) serve(view, asked);
  if (held?.pairing) await run(held.pairing, { from: own, ...held });
  else unpaired(known || Boolean(held?.base || held?.tail.length));
}

/** @param {boolean} lostStore */
function unpaired(lostStore) {
  early.length = 0; // nobody's: there is no kitchen to tell
  tellAll({ tell: "unpaired", lost: lostStore && !outOf, out: outOf });
}

/** lost: another tab is the owner now, or nobody yet. */
function lost() {
  engine?.stop();
  engine = null;
  line?.stop();
  line = null;
  shelf?.close();
  shelf = null;
  toPage({ tell: "owner", mine: false });
}

/** @param {Pairing} pairing @param {import("./shelf.js").Stored & {from: unknown}} [held] what was loaded from that shelf */
async function run(pairing, held) {
  const core = await loadCore();
  if (!core || !shelf || engine) return;
  const stored = held?.from === shelf ? held : undefined; // else another tab was the owner in between
  const mine = new Line(lineURL(), {
    opened: () => {
      fresh.push({ op: "opened" });
      sendPhotos(pairing);
    },
    shut: () => fresh.push({ op: "shut" }),
    frame: (frame, lag) => fresh.push({ op: "frame" }, frame, lag),
  });
  const fresh = new Engine({
    core,
    shelf,
    stored,
    topped: () => idle.depict(),
    doubted: () => idle.forget(),
    line: mine,
    pairing,
    lang: scope.navigator.language,
    show,
    notice,
    fenced,
    shutOut,
  });
  engine = fresh;
  line = mine;
  paired = pairing;
  fresh.views.set(view, path);
  for (const [other, asked] of abilities) serve(other, asked);
  for (const { from, asked, at } of early.splice(0)) tapped(from, asked, performance.now() - at);
  tellAll({ tell: "paired" });
  channel.postMessage({ kind: "again" });
  await fresh.start();
}

const idle = new Idle(BUILD, {
  core: wholeCore,
  shelf: () => (paired && seat.mine ? shelf : null),
  touched: () => touched,
  cached: () => performance.getEntriesByName(new URL(CORE_URLS.first, scope.location.href).href).some(byServiceWorker),
});

/** wholeCore resolves once all is here that a spare core may need. */
async function wholeCore() {
  const core = await loading;
  await core?.rest.whole();
  return core;
}

/** byServiceWorker: what a page's first start brought straight from the kitchen lies elsewhere than what later ones will bring. @param {PerformanceEntry} entry */
function byServiceWorker(entry) {
  return /** @type {PerformanceResourceTiming} */ (entry).workerStart > 0;
}

/**
 * shutOut wipes what this phone holds, once the kitchen has said that it was taken off and has all that was not sent: the
 * core saw to the entries, the photos go now. Where they do not get through nothing is wiped, and the next line asks again.
 */
async function shutOut() {
  const [store, gone, was] = [shelf, engine, paired];
  if (!store || !gone || !was || posting) {
    line?.redial();
    return;
  }
  posting = true;
  try {
    await postAll(store, was);
    if (engine !== gone) return; // another tab took over; it will be told too
    lineDown();
    await store.wipe(was.kitchen);
    await idle.forget();
    forgetAll(was.kitchen);
  } catch (err) {
    console.warn("this device was taken off; wiping waits:", err);
    if (engine === gone) line?.redial();
    else if (!engine && shelf === store) await run(was); // the store did not take it: go on as before, and be told again
  } finally {
    posting = false;
  }
}

function lineDown() {
  engine?.stop();
  engine = null;
  line = null;
}

/** forgetAll lets go of what the worker remembers of a kitchen. @param {string} kitchen */
function forgetAll(kitchen) {
  paired = null;
  known = false;
  outOf = kitchen;
  unpaired(false);
}

/** sendPhotos hands the kitchen the photos that it lacks; what fails goes with the next opening of the line. @param {Pairing} pairing */
async function sendPhotos(pairing) {
  postsAgain = posting; // what is under way may be on its way into a dead path
  if (!shelf || posting) return;
  posting = true;
  try {
    await postAll(shelf, pairing);
  } catch (err) {
    console.warn("photos wait:", err);
  } finally {
    posting = false;
    if (postsAgain && paired) sendPhotos(paired);
  }
}

/** loadCore fetches the rules, again and again until they come: a phone may start while the kitchen is away. */
async function loadCore() {
  for (let wait = 500; ; wait = Math.min(10_000, wait * 2)) {
    try {
      loading ??= Core.fetch(CORE_URLS, restMissing);
      const core = await loading;
      notice("core_missing", false);
      return core;
    } catch (err) {
      loading = null;
      if (!seat.mine) return null;
      console.error("core.wasm does not load:", err);
      notice("core_missing", true);
      await new Promise((resolve) => setTimeout(resolve, wait));
    }
  }
}

/** @param {boolean} on */
function restMissing(on) {
  notice("core_missing", on);
}

function lineURL() {
  const { protocol, host } = scope.location;
  return `${protocol === "https:" ? "wss" : "ws"}://${host}/line`;
}

/**
 * @param {string} word
 * @param {boolean} on
 */
function notice(word, on) {
  tellAll({ tell: "notice", id: word, on });
}

/**
 * fenced hands over what was not carried out: the new owner does it.
 * @param {Input[]} orphans
 */
function fenced(orphans) {
  seat.leave();
  for (const { header } of orphans) {
    if (header.op !== "tap") continue;
    channel.postMessage({ kind: "ask", view: header.view, asked: { do: "tap", path: header.path, tap: header.tap } });
  }
}

/** bringAll brings what the first screen did not need, and what a kitchen can do without after it. @param {Core} core */
async function bringAll(core) {
  await core.rest.bring();
  setTimeout(async () => {
    await core.later.whole();
    engine?.push({ op: "planned" }); // from here on what the plan wants can be said on the line
    idle.rehearse();
  }, LATER);
}

/** @param {Outcome} outcome */
function show({ ring, clock, draw }) {
  if (clock) tellAll({ tell: "clock", clock });
  if (ring) tellAll({ tell: "ring", ring });
  for (const screen of draw) tell(screen.view, { tell: "draw", screen });
  if (draw.length > 0 && !bringing) {
    bringing = true;
    setTimeout(() => loading?.then(bringAll).catch(() => {}), SOON);
  }
}

/**
 * serve does, as the owner, what a page asked.
 * @param {string} from the view
 * @param {Asked} asked
 */
function serve(from, asked) {
  heardFrom.set(from, performance.now());
  if (asked.do === "look" || asked.do === "tap") touched = performance.now();
  if (asked.do === "pair") {
    pair(asked.pairing);
    return;
  }
  if (asked.do === "ability") abilities.set(from, asked);
  if (asked.do === "close") {
    heardFrom.delete(from);
    abilities.delete(from);
  }
  if (asked.do === "tap") tapped(from, asked);
  if (!engine) return; // it is told what every tab shows and can do when it comes up
  if (asked.do === "look") engine.push({ op: "look", view: from, path: asked.path, lang: scope.navigator.language });
  if (asked.do === "ability") engine.push({ op: "ability", view: from, ability: asked.ability });
  if (asked.do === "close") engine.push({ op: "close", view: from });
  if (asked.do === "visible") wakeUp();
  if (asked.do === "log") logged(from, asked);
  if (asked.do === "planned") engine.push({ op: "planned", view: from }, asked.bytes);
  if (asked.do === "photo" && paired) sendPhotos(paired);
  if (asked.do === "state") tell(from, { tell: "state", bytes: engine.state() });
}

/**
 * tapped hands a tap to the rules, or keeps it until they are up.
 * @param {string} from the view
 * @param {Extract<Asked, {do: "tap"}>} asked
 * @param {number} [lag] ms since the finger
 */
function tapped(from, asked, lag = 0) {
  if (engine) engine.push({ op: "tap", view: from, path: asked.path, tap: asked.tap }, null, lag);
  else early.push({ from, asked, at: performance.now() - lag });
}

/** @type {Map<string, Uint8Array>} */
const logs = new Map(); // the file that each view handed over last, while it is read

/**
 * logged hands a probe's file to the rules piece by piece, so that no tap waits for all of it.
 * @param {string} from the view
 * @param {Extract<Asked, {do: "log"}>} asked
 */
function logged(from, { name, bytes }) {
  logs.set(from, bytes);
  const reader = engine;
  const piece = (/** @type {number} */ at) => {
    if (!reader || engine !== reader || logs.get(from) !== bytes) return;
    const last = at + LOG_PIECE >= bytes.length;
    reader.push({ op: "log", view: from, file: name, first: at === 0, last }, bytes.subarray(at, at + LOG_PIECE));
    if (last) logs.delete(from);
    else setTimeout(() => piece(at + LOG_PIECE), 0);
  };
  piece(0);
}

/** wakeUp follows a look at any tab: the path may be dead and the clocks may have stood still. */
function wakeUp() {
  line?.hurry();
  engine?.push({ op: "tick" });
}

/** @param {Pairing} pairing */
async function pair(pairing) {
  try {
    await shelf?.pair(pairing);
  } catch (err) {
    console.error("the pairing is not kept:", err);
    notice("store_fail", true);
  }
  known = true;
  outOf = "";
  if (!engine) await run(pairing);
}

/**
 * route sends a page's wish to whoever owns the core. Before there is an owner only what was done waits: a new owner
 * asks for what is looked at now, and an older look that came after that would show a place already left.
 * @param {Asked} asked
 */
function route(asked) {
  if (seat.mine) serve(view, asked);
  else if (Number.isFinite(seat.seenAlive)) channel.postMessage({ kind: "ask", view, asked });
  else if (LASTING.has(asked.do)) backlog.push(asked);
}

/**
 * @param {string} to a view, or "" for every page
 * @param {Told} told
 */
function tell(to, told) {
  if (to === view || to === "") toPage(told);
  if (to !== view) channel.postMessage({ kind: "tell", view: to, told });
}

/** @param {Told} told */
function tellAll(told) {
  tell("", told);
}

/** @param {Told} told */
function toPage(told) {
  scope.postMessage(told);
}

/** lookAgain asks a new owner for everything this page shows. */
function lookAgain() {
  route({ do: "look", path });
  const mine = abilities.get(view);
  if (mine) route(mine);
}

channel.onmessage = ({ data }) => {
  if (data.kind === "ask" && seat.mine) serve(data.view, data.asked);
  if (data.kind === "tell" && !seat.mine && (data.view === view || data.view === "")) toPage(data.told);
  if (data.kind === "again" && !seat.mine) lookAgain();
  if (data.kind !== "alive" && data.kind !== "who" && data.kind !== "bye") return;
  const firstSign = !Number.isFinite(seat.seenAlive);
  seat.hear(data);
  if (data.kind === "who" && seat.mine && !engine && shelf) unpairedAgain();
  if (data.kind !== "alive" || seat.mine || !firstSign) return;
  lookAgain();
  for (const asked of backlog.splice(0)) route(asked);
};

/** unpairedAgain answers a page that came after the question. */
function unpairedAgain() {
  if (performance.now() - sittingSince > 1_000) unpaired(known);
}

scope.onmessage = ({ data }) => {
  const asked = /** @type {Asked} */ (data);
  if (asked.do === "boot") {
    boot(asked);
    return;
  }
  if (asked.do === "look" || asked.do === "tap") path = asked.path;
  if (asked.do === "ability") abilities.set(view, asked);
  if (asked.do === "visible") {
    visible = asked.visible;
    seat.show(visible);
  }
  route(asked);
  if (asked.do === "close") seat.close();
};

/** @param {Extract<Asked, {do: "boot"}>} asked */
function boot(asked) {
  view = asked.view;
  path = asked.path;
  known = asked.known;
  visible = asked.visible;
  seat.show(visible);
  opening = openShelf();
  opening.catch(() => {}); // told by whoever claims it
  seat.start();
  setInterval(() => seat.beat(), ALIVE_EVERY);
  setInterval(sweep, HERE_EVERY);
}

/** sweep says that this tab is here, and as owner forgets tabs that have not said so for a minute. */
function sweep() {
  route({ do: "here" });
  if (!seat.mine) return;
  for (const [other, at] of heardFrom) {
    if (other !== view && performance.now() - at > GONE_AFTER) serve(other, { do: "close" });
  }
}

// Before the page has said a word: what it says takes a while to come.
loading = Core.fetch(CORE_URLS, restMissing);
loading.catch(() => {}); // asked for again by whoever needs it
