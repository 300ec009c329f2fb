// The glance is what this device last showed and was to ring, kept where a page can read it at once: a page paints it
// and arms its bells before the rules are up. It is no record: what it shows is asked for anew a moment later.
import { mono } from "./bell.js";
import { drop, read, write } from "./settings.js";

/** @typedef {import("./worker/sections.js").Screen} Screen */
/** @typedef {{kitchen: number, wall: number, pace: number}} Since kitchen time and the device's own at one instant, ms */

const SCREENS_MOST = 6;
const LATER = 1_000; // ms: a screen that is drawn again at once need not be kept twice
const RING_LATER = 200; // ms

/** @type {Map<string, unknown>} */
const waiting = new Map();
let timer = /** @type {ReturnType<typeof setTimeout> | undefined} */ (undefined);

/** @param {{kitchen: number, mono: number, pace: number}} clock @returns {Since} */
const since = (clock) => ({ kitchen: clock.kitchen, wall: Date.now() - (mono() - clock.mono), pace: clock.pace });

/** keepScreen keeps a screen that the core drew. @param {any} screen */
export function keepScreen(screen) {
  const { undo: _undo, refusal: _refusal, view: _view, ...rest } = screen;
  later(`seen ${screen.path}`, { screen: rest, since: since(screen.now) }, LATER);
}

/** keepRing keeps what is to ring. @param {unknown} ring @param {{kitchen: number, mono: number, pace: number}} clock */
export function keepRing(ring, clock) {
  later("seen ring", { ring, since: since(clock) }, RING_LATER);
}

/** @param {string} name @param {unknown} value @param {number} ms */
function later(name, value, ms) {
  waiting.set(name, value);
  clearTimeout(timer);
  timer = setTimeout(keep, ms);
}

/** keep writes what waits; a page that goes out of sight does it at once. */
export function keep() {
  clearTimeout(timer);
  for (const [name, value] of waiting) {
    if (name !== "seen ring") remember(name);
    write(name, JSON.stringify(value));
  }
  waiting.clear();
}

/** remember lets the screens go that were looked at longest ago. @param {string} name */
function remember(name) {
  const all = [name, ...names().filter((other) => other !== name)];
  for (const old of all.splice(SCREENS_MOST)) drop(old);
  write("seen", JSON.stringify(all));
}

/** @returns {string[]} */
const names = () => parsed(read("seen", "")) ?? [];

/** @param {string} text @returns {any} null when there is none, or none that can be read */
function parsed(text) {
  try {
    return text ? JSON.parse(text) : null;
  } catch {
    return null;
  }
}

/** @param {Since} at */
const now = (at) => ({ kitchen: Math.round(at.kitchen + (Date.now() - at.wall) * at.pace), mono: mono(), pace: at.pace });

/** lastScreen returns what was last seen of a place, else of the Line, with the time that has gone by since. @param {string} path */
export function lastScreen(path) {
  const kept = parsed(read(`seen ${path}`, "")) ?? parsed(read("seen /", ""));
  return kept ? { ...kept.screen, path, now: now(kept.since) } : null;
}

/** lastRing returns what was to ring, and kitchen time. */
export function lastRing() {
  const kept = parsed(read("seen ring", ""));
  return kept ? { ring: kept.ring, now: now(kept.since) } : null;
}

/** forget lets all of it go: this device belongs to no kitchen any more. */
export function forget() {
  clearTimeout(timer);
  waiting.clear();
  for (const name of [...names(), "seen", "seen ring"]) drop(name);
}
