// The page: paints what this phone last knew, starts the worker, hands it taps, gives its screens to draw/ and its rings to the bell.

import { ask } from "./ask.js";
import { Bell, mono, voiceFor } from "./bell.js";
import { SIGNALS } from "./bell_plan.js";
import { draw } from "./draw/draw.js";
import * as glance from "./glance.js";
import { fault, hello, join, joinScreen, Unjoined, wishOf } from "./join.js";
import { fetchPatiently, inTime, workerOf } from "./patience.js";
import { keepPhoto, pictureOf } from "./photo.js";
import { isFile, Refused, save } from "./save.js";
import { savedNow } from "./saved.js";
import * as settings from "./settings.js";
import { Updates } from "./update.js";
import { Awake } from "./wake.js";

/** @typedef {import("./worker/sections.js").Asked} Asked */
/** @typedef {import("./worker/sections.js").Told} Told */
/** @typedef {import("./worker/sections.js").Screen} Screen */

const root = /** @type {HTMLElement} */ (document.getElementById("app"));
const view = Array.from(crypto.getRandomValues(new Uint8Array(8)), (b) => b.toString(16).padStart(2, "0")).join("");
const QUIET = 60_000; // ms without a touch
const policy = /** @type {any} */ (globalThis).trustedTypes?.createPolicy("brinebell", { createScriptURL: ownScript });

/** @type {any} */
let screen = null; // the last one drawn, without this page's own notices
/** @type {import("./bell.js").Clock | null} */
let clock = null; // kitchen time as the core last told it
let live = false; // the core drew it, not the shelf
/** @type {Set<string>} */
const notices = new Set(["starting"]);
let fileRefused = ""; // why the kitchen gives no file to whoever holds this device
const ASK_AGAIN = 1_500; // ms
let askAgain = /** @type {ReturnType<typeof setTimeout> | undefined} */ (undefined);
/** @type {{lost: boolean, out: string, busy: boolean, auto: boolean, trouble: Unjoined | null} | null} */
let joining = null;
let touched = performance.now();
let reported = "";
let owner = false; // this tab's worker owns the core
/** @type {Worker | null} */
let worker = null;
const SILENT = 15_000; // ms in which a worker whose script came has said something
/** @type {WeakSet<Worker>} */
const heard = new WeakSet(); // workers that have
/** @type {((bytes: Uint8Array | null) => void)[]} */
const awaitingState = [];
/** @type {import("./practice.js").Practice | null} */
let practice = null; // the pretend night of this page
/** @type {import("./plan.js").Planner | Promise<import("./plan.js").Planner> | null} */
let planner = null;
const PRACTICE = "/practice"; // where one is chosen
const PRETEND_PHOTO = "0".repeat(64);
const NIGHT = `${PRACTICE}/night`; // the places of the pretend kitchen

const speaks = () => settings.read("speech", "on") === "on";
const bell = new Bell({
  changed: report,
  loudness: settings.loudness.get,
  speaks,
});
const awake = new Awake(report);
const updates = new Updates({ quiet, changed: updated, up: () => live });

function updated() {
  report();
  repaint();
}

/** ownScript lets no other address than our scripts become code. @param {string} url */
function ownScript(url) {
  if ([WORKER_URL, PRACTICE_URL, PLANNER_URL, "/sw.js"].includes(url)) return url;
  throw new TypeError(`not a script of this app: ${url}`);
}

/** @param {string} url */
const script = (url) => /** @type {string} */ (/** @type {unknown} */ (policy?.createScriptURL(url) ?? url));

const here = () => location.pathname + location.search;
const practising = () => location.pathname === NIGHT || location.pathname.startsWith(`${NIGHT}/`);
const realPath = () => (practising() ? PRACTICE : here());
const shown = () => (practising() && practice?.screen && !screen?.ring ? practice.screen : screen);
const words = () => WORDS[shown()?.lang] ?? WORDS[language()];
const language = () => (navigator.language.toLowerCase().startsWith("es") ? "es" : "en");

/** @param {Asked} asked */
const tellWorker = (asked) => worker?.postMessage(asked);

// ---- what the drawing may ask for ----

const hands = {
  get words() {
    return words();
  },
  mono,
  tap,
  go,
  back,
  draft,
  photo,
  log,
  picture: pictureOf,
  /** @param {string} path @param {any} [what] */
  ask: (path, what) => ask(path, what, words().lang),
  buzz: () => navigator.vibrate?.(15),
  face: settings.face,
  bell: {
    /** @param {string} level */
    play(level) {
      const signal = /** @type {import("./bell_plan.js").Level} */ (level in SIGNALS ? level : "info");
      bell.play(signal);
    },
    /** @param {string} text @param {boolean} [asked] somebody asked for it: it is said even where bells do not speak */
    say: (text, asked) => bell.say(text, words().lang, asked),
    unlock: () => bell.unlock(),
    /** @param {boolean} yes */
    heard(yes) {
      settings.write("heard", yes ? String(Date.now()) : "");
      report();
    },
    loudness: {
      get: settings.loudness.get,
      /** @param {number} value */
      set(value) {
        settings.loudness.set(value);
        bell.loudness();
      },
    },
    state: () => ({
      can: canRing(),
      sound: bell.sound(),
      awake: awake.held(),
      vibrate: bell.vibrates(),
      voice: voiceFor(words().lang) !== null,
    }),
  },
};

/** @param {any} command */
function tap(command) {
  if (command.do === "page-join") joinNow();
  else if (command.do === "page-update") updates.now();
  else if (command.do === "page-practice") practise(command);
  else if (command.do === "page-practice-end") leavePractice();
  else if (command.do === "rung") keepRung(command);
  else if (practice && shown() === practice.screen) practice.tap(command);
  else tellWorker({ do: "tap", path: realPath(), tap: command });
}

/** @param {Blob} file */
async function photo(file) {
  if (practice && shown() === practice.screen) return PRETEND_PHOTO; // nothing of practice lands in the store
  const hash = await keepPhoto(file);
  tellWorker({ do: "photo" });
  return hash;
}

const LOG_MOST = (16 << 20) + 1; // bytes: the core refuses a longer one, and says so

/** log hands a probe's file to the core. @param {Blob & {name: string}} file */
async function log(file) {
  const bytes = new Uint8Array(await file.slice(0, LOG_MOST).arrayBuffer());
  worker?.postMessage({ do: "log", name: file.name, bytes }, [bytes.buffer]);
}

/** @param {string} path */
function go(path) {
  if (isFile(path)) return void fetchFile(path);
  notices.delete("file_away");
  if (path !== here()) history.pushState({ from: here() }, "", path);
  look();
}

/** @param {string} path */
async function fetchFile(path) {
  const why = await save(path, words().lang).catch((error) => error);
  fileRefused = why instanceof Refused ? why.message : "";
  notice("file_away", Boolean(why));
}

/** back goes back where that is where the link leads, so that the history does not grow. @param {string} path */
function back(path) {
  if (history.state?.from === path) history.back();
  else go(path);
}

/** @param {string} path */
function draft(path) {
  history.replaceState(history.state, "", path);
  if (joining) joining.trouble = null;
  look();
}

/** look asks for the screen of this address, and asks again while no answer comes: a place must never stay shut. */
function look() {
  clearTimeout(askAgain);
  if (joining) return paintJoin();
  if (practising() && !practice) history.replaceState(null, "", PRACTICE); // that night is gone
  if (practice) lookAtPractice(practice);
  tellWorker({ do: "look", path: realPath() });
  askAgain = setTimeout(look, ASK_AGAIN);
}

// ---- practice: a pretend night beside the real kitchen ----

/** @param {any} command which night */
async function practise(command) {
  try {
    const [{ Practice }, state] = await inTime(Promise.all([import("./practice.js"), stateNow()]));
    if (!state) throw new Error("the rules are not up");
    leavePractice();
    const hands = { drawn: practiceDrawn, broken: practiceBroken, loudness: settings.loudness.get, speaks };
    practice = new Practice(script(PRACTICE_URL), hands);
    practice.begin(state, command, `${NIGHT}/`, words().lang);
    notice("practice_fail", false);
  } catch (err) {
    practiceBroken(String(err));
  }
}

/** leavePractice ends the night: nothing of it is kept. */
function leavePractice() {
  practice?.end();
  practice = null;
  if (practising()) go(PRACTICE);
}

/** keepRung hands the real kitchen what somebody reached in practice. @param {any} command */
function keepRung(command) {
  leavePractice();
  tellWorker({ do: "tap", path: realPath(), tap: command });
}

/** @param {string} why */
function practiceBroken(why) {
  console.error("practice:", why);
  leavePractice();
  notice("practice_fail", true);
}

/** lookAtPractice: its time stands while something else is looked at. @param {import("./practice.js").Practice} night */
function lookAtPractice(night) {
  if (location.pathname === "/wall") leavePractice();
  else if (practising()) night.look(here());
  else night.hush("away");
}

function practiceDrawn() {
  if (!practice?.screen || joining) return;
  if (!practising() && location.pathname === PRACTICE && practice.fresh) {
    practice.fresh = false;
    go(practice.screen.path);
  } else if (practice.screen.path === here()) repaint();
}

// ---- the plan: thought about beside the real kitchen, drawn by it ----

/** plan has thought about what a screen wants, as long as somebody sees it. @param {any} wish */
async function plan(wish) {
  const wanted = document.visibilityState === "visible" && !practising() && wish ? wish : null;
  if (!wanted && !planner) return;
  try {
    planner ??= import("./plan.js").then(({ Planner }) => {
      const hands = { state: stateNow, planned: (/** @type {Uint8Array} */ bytes) => tellWorker({ do: "planned", bytes }) };
      return new Planner(script(PLANNER_URL), words().lang, hands);
    });
    await (await inTime(Promise.resolve(planner))).want(wanted);
  } catch (err) {
    console.error("the planner does not start:", err);
    planner = null;
  }
}

// ---- what is drawn ----

/** repaint draws the last screen again with this page's own notices. */
function repaint() {
  const seen = shown() ?? bare();
  if (!seen) return;
  const parts = [...notices]
    .filter((id) => words()[id] && !(id === "starting" && notices.has("core_missing")))
    .map((id) => (id === "starting" ? quietNote(words()[id]) : fault((id === "file_away" && fileRefused) || words()[id])));
  if (updates.ready()) parts.push(...updateParts());
  if (practice && seen.kind === "practice") parts.push(...practiceParts());
  const saved = savedNow(seen.saved, notices, words());
  draw(root, { ...seen, saved, parts: [...parts, ...(seen.parts ?? [])] }, hands);
}

/** bare stands in for the first screen where there is trouble before it. */
function bare() {
  if (live || [...notices].every((id) => id === "starting")) return null;
  const now = { kitchen: Date.now(), mono: mono(), pace: 1 };
  const offset = -new Date().getTimezoneOffset();
  return { view: "", path: here(), kind: "start", lang: language(), title: "Brinebell", now, ownTime: 1, offset, parts: [] };
}

/** @param {string} text @returns {any} */
const quietNote = (text) => ({ p: "note", line: [{ t: text }], tone: "quiet" });

/** @returns {any[]} */
function updateParts() {
  if (screen.place !== "more" && screen.kind !== "line") return [];
  const { update_ready: text, update_now: label } = words();
  return [quietNote(text), { p: "buttons", actions: [{ label, style: "plain", do: { do: "page-update" } }] }];
}

/** practiceParts lead back into the night that stands still. @returns {any[]} */
function practiceParts() {
  const { practice_back: label, practice_end: end } = words();
  return [
    {
      p: "buttons",
      actions: [
        { label, to: `${NIGHT}/` },
        { label: end, style: "plain", do: { do: "page-practice-end" } },
      ],
    },
  ];
}

/** @param {any} next */
function paint(next) {
  screen = next;
  repaint();
}

/** paintGlance shows what this device last knew of the place, with the time that has gone by since, and arms its rings. */
function paintGlance() {
  const bells = glance.lastRing();
  if (bells) {
    bell.setClock(bells.now);
    bell.set(/** @type {import("./bell_plan.js").Ring} */ (bells.ring));
  }
  const seen = glance.lastScreen(realPath());
  if (seen) paint(seen);
}

function paintJoin() {
  if (!joining) return;
  const now = { kitchen: Date.now(), mono: mono(), pace: 1 };
  paint(joinScreen(here(), WORDS[language()], { ...joining, now }));
}

// ---- joining ----

/**
 * @param {boolean} lost
 * @param {string} out the kitchen that shut this device out
 */
async function unpaired(lost, out) {
  notices.delete("starting");
  glance.forget();
  live = false;
  if (out) {
    settings.write("paired", "");
    bell.set({ now: [], book: [] });
  }
  joining = { lost: !out && (lost || settings.read("paired", "") !== ""), out, busy: false, auto: false, trouble: null };
  paintJoin();
  if (out) return; // it was shut out by a person: it does not let itself in again
  try {
    const { demo } = await hello();
    if (!joining || !demo || !isLoopback()) return;
    joining.auto = true;
    await joinNow();
  } catch (err) {
    troubled(err);
  }
}

const isLoopback = () => ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname);

async function joinNow() {
  if (!joining || joining.busy) return;
  joining = { ...joining, busy: true, trouble: null };
  paintJoin();
  try {
    const wish = wishOf(here());
    const pairing = await join({ ...wish, name: wish.name || deviceName(), wall: wish.wall || location.pathname === "/wall" });
    settings.write("paired", pairing.device);
    tellWorker({ do: "pair", pairing });
    lasts(true);
  } catch (err) {
    troubled(err);
  }
}

/** @param {unknown} err */
function troubled(err) {
  if (!joining) return;
  joining = { ...joining, busy: false, trouble: err instanceof Unjoined ? err : new Unjoined("join_offline") };
  paintJoin();
}

/** deviceName is what a device is called until somebody names it. */
function deviceName() {
  const { device_phone, device_screen } = words();
  return `${matchMedia("(pointer: coarse)").matches ? device_phone : device_screen} ${view.slice(0, 4).toUpperCase()}`;
}

function paired() {
  if (!joining) return;
  if (joining.lost) notices.add("store_lost"); // it stays said: somebody must write down what is gone
  joining = null;
  const to = location.pathname === "/join" ? "/" : location.pathname;
  history.replaceState(null, "", to); // a code that was used has no place in an address
  look();
}

// ---- what the worker tells ----

/** @param {Told} told */
function hear(told) {
  if (told.tell === "draw") drawn(told.screen);
  else if (told.tell === "ring") ring(told.ring);
  else if (told.tell === "clock") setClock(/** @type {import("./bell.js").Clock} */ (told.clock));
  else if (told.tell === "notice") notice(told.id, told.on);
  else if (told.tell === "unpaired") unpaired(told.lost, told.out);
  else if (told.tell === "paired") paired();
  else if (told.tell === "owner") owner = told.mine;
  else if (told.tell === "state") awaitingState.shift()?.(told.bytes);
}

/** @param {unknown} order */
function ring(order) {
  if (practice && /** @type {any} */ (order).now?.length) practice.hush("bell");
  bell.set(/** @type {import("./bell_plan.js").Ring} */ (order));
  if (clock) glance.keepRing(order, clock);
}

/** @param {import("./bell.js").Clock} next */
function setClock(next) {
  clock = next;
  bell.setClock(next);
}

/** @param {any} next */
function drawn(next) {
  setClock(next.now);
  if (joining || next.path !== realPath()) return; // a place already left; the look at this one is under way
  live = true;
  clearTimeout(askAgain);
  notices.delete("starting");
  if (next.saved?.in === "kitchen") notices.delete("too_old");
  glance.keepScreen(next);
  paint(next);
  plan(next.plan);
}

/**
 * @param {string} id
 * @param {boolean} on
 */
function notice(id, on) {
  if (on && !live && !notices.has(id) && (id === "core_missing" || id === "core_dead")) updates.mend();
  if (on) notices.add(id);
  else notices.delete(id);
  if (id === "core_fault" && on) setTimeout(() => notice(id, false), 30_000);
  if (id === "core_dead") notices.delete("starting");
  if (id === "too_old" && on) updates.ask();
  repaint();
}

// ---- what this device can do ----

const canRing = () => bell.sound() === "running" && document.visibilityState === "visible";
const installed = () => matchMedia("(display-mode: standalone)").matches || /** @type {any} */ (navigator).standalone === true;

/** Whether the browser has promised to keep what this device holds. */
let stays = false;

/** lasts learns whether the store stays, and asks for it where that is due. @param {boolean} ask */
async function lasts(ask) {
  const { storage } = navigator;
  try {
    stays = Boolean(await (ask ? storage?.persist?.() : storage?.persisted?.()));
  } catch {
    stays = false; // then nothing is promised
  }
  report();
}

/** report tells the core what this page can do, when that changed. */
function report() {
  const ability = {
    sound: bell.sound() === "running",
    stuck: bell.sound() === "stuck",
    awake: awake.held(),
    vibrate: bell.vibrates(),
    installed: installed(),
    visible: document.visibilityState === "visible",
    secure: updates.secure(),
    kept: updates.kept(),
    voice: voiceFor(words().lang) !== null,
    stays,
    heard: settings.read("heard", "") !== "",
  };
  const text = JSON.stringify(ability);
  if (text === reported || !worker) return;
  reported = text;
  tellWorker({ do: "ability", ability });
}

/** quiet: nobody is in the middle of anything, and no sound would be lost by loading the page again. */
function quiet() {
  const idle = performance.now() - touched > QUIET;
  const calm = !screen?.ring && !screen?.undo && !location.search && ["line", "hold", "lists", "more", "wall"].includes(screen?.kind);
  return idle && calm && bell.sound() !== "running";
}

function seen() {
  const visible = document.visibilityState === "visible";
  if (!visible) {
    practice?.hush("away");
    plan(null);
  }
  tellWorker({ do: "visible", visible });
  if (visible) look();
  else glance.keep();
  report();
}

// ---- start ----

function startWorker() {
  try {
    worker = begun();
  } catch (err) {
    console.error("the worker does not start:", err);
    notice("core_dead", true);
    return;
  }
  const known = settings.read("paired", "") !== "";
  tellWorker({ do: "boot", view, path: here(), known, visible: document.visibilityState === "visible" });
  look();
  reported = "";
  report();
}

/** begun begins a worker. Its name says who gives up on what does not come (worker/part.js). */
function begun() {
  const it = workerOf(script(WORKER_URL));
  const silence = setTimeout(beginAnew, SILENT, it);
  it.onmessage = ({ data }) => {
    if (!heard.has(it)) {
      heard.add(it);
      clearTimeout(silence);
      for (const id of ["core_missing", "core_dead"]) if (notices.has(id)) notice(id, false); // said of a script that did not come
    }
    hear(data);
  };
  it.onerror = (event) => {
    console.error("the worker broke down:", event.message);
    if (!live) notice("core_dead", true);
  };
  return it;
}

/** beginAnew follows a worker whose script did not come: the path is dead. Another is begun once it comes. @param {Worker} mute */
async function beginAnew(mute) {
  notice("core_missing", true);
  for (;;) {
    try {
      await (await fetchPatiently(WORKER_URL, { cache: "reload" })).arrayBuffer();
      break;
    } catch (err) {
      console.warn("the worker's script does not come:", err);
      await new Promise((resolve) => setTimeout(resolve, ASK_AGAIN));
    }
  }
  if (worker !== mute || heard.has(mute)) return;
  mute.terminate();
  startWorker();
}

/** stateNow returns the bytes of the real core's whole state. @returns {Promise<Uint8Array | null>} */
function stateNow() {
  return new Promise((resolve) => {
    awaitingState.push(resolve);
    tellWorker({ do: "state" });
  });
}

/** hooks lets tests look in from outside. They tell no secret and change nothing. */
function hooks() {
  const hash = async () => {
    const bytes = await stateNow();
    if (!bytes || !crypto.subtle) return "";
    const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", /** @type {Uint8Array<ArrayBuffer>} */ (bytes)));
    return Array.from(sum, (b) => b.toString(16).padStart(2, "0")).join("");
  };
  globalThis.brinebell = Object.freeze({
    get live() {
      return live;
    },
    get booked() {
      return bell.booked;
    },
    get saved() {
      return screen?.saved;
    },
    get owner() {
      return owner;
    },
    get notices() {
      return [...notices];
    },
    version: VERSION,
    kitchenNow: () => bell.kitchenNow(),
    sound: () => bell.sound(),
    stateHash: hash,
    planner: async () => {
      const { took, came, thinks } = (await planner) ?? { took: 0, came: 0, thinks: false };
      return { took, came, thinks };
    },
  });
}

function start() {
  settings.dress();
  hooks();
  startWorker(); // its thread comes up while this one paints
  paintGlance();
  bell.begin();
  awake.begin();
  updates.begin(script("/sw.js"));
  lasts(installed() && settings.read("paired", "") !== "");
  addEventListener("popstate", look);
  addEventListener("pagehide", () => {
    glance.keep();
    tellWorker({ do: "close" });
  });
  addEventListener("pageshow", (event) => event.persisted && seen());
  for (const type of ["pointerdown", "keydown"])
    addEventListener(type, () => (touched = performance.now()), { passive: true, capture: true });
  document.addEventListener("visibilitychange", seen);
  document.addEventListener("resume", seen);
}

start();
