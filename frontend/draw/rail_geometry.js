// Where everything on a rail stands: lengths in, percent of width and heights in units out. No page needed.
import { standing, timeOfDay } from "./lengths.js";

/**
 * @typedef {{began: number, floor?: number, bestFrom?: number, lastCall?: number, bestUntil?: number, ceiling?: number,
 *   labels?: 1, clocks?: 1, words?: {floor?: string, bestFrom?: string, until?: string, limit?: string}, aria: string}} Rail
 *   began in kitchen ms; the others are lengths from there in ms, lastCall included
 * @typedef {{state: string, from: number, to: number, y: number, h: number}} Box from and to in ms, y and h in units
 * @typedef {{x: number, dx: number, text: string, cap: string}} Label x in percent, dx how far it was moved aside, in px
 */

// Top and height of each state's box in units, above a base line at 38 of 40.
const soon = { state: "soon", y: 30, h: 8 };
const ready = { state: "ready", y: 22, h: 16 };
const best = { state: "best", y: 12, h: 26 };
const lastTall = { state: "last", y: 12, h: 26 };
const lastLow = { state: "last", y: 22, h: 16 };
const past = { state: "past", y: 12, h: 26 };

const bestNarrowestPx = 24;
const labelGapPx = 6;
const strayMostPx = 12; // beyond half its own width a number no longer belongs to its mark
// Widths of the caption size at the usual text size: an m takes more than two of an i.
const narrowPx = 5.3;
const widePx = 13;
const charPx = 8.8;

/** How wide a caption will be. @param {string} text */
const widthOf = (text) =>
  [...text].reduce((sum, c) => sum + ("iíltfj .:,".includes(c) ? narrowPx : "mwMW".includes(c) ? widePx : charPx), 0);

/** The lengths of a rail with everything absent filled in. @param {Rail} rail @param {number} elapsed */
function edges(rail, elapsed) {
  const floor = rail.floor ?? 0;
  const bestFrom = Math.max(rail.bestFrom ?? 0, floor);
  const last = rail.ceiling || Math.max(rail.bestUntil ?? 0, bestFrom);
  const end = Math.max(1.07 * last, 1.03 * elapsed, 1);
  const ceiling = rail.ceiling || end;
  const bestUntil = rail.bestUntil || ceiling;
  return { floor, bestFrom, lastCall: rail.lastCall || bestUntil, bestUntil, ceiling, end, limited: Boolean(rail.ceiling) };
}

/** @param {ReturnType<typeof edges>} e @returns {Box[]} */
function boxes(e) {
  const all = [
    { ...soon, from: 0, to: e.floor },
    { ...ready, from: e.floor, to: e.bestFrom },
    { ...best, from: e.bestFrom, to: e.lastCall },
    { ...lastTall, from: e.lastCall, to: e.bestUntil },
    { ...lastLow, from: e.bestUntil, to: e.ceiling },
    { ...past, from: e.ceiling, to: e.end },
  ];
  return all.filter((box) => box.to > box.from && (box.state !== "past" || e.limited));
}

/**
 * Where the rail begins: at 0, or later where the best would be too narrow to be seen. The mark for now, and a stretch
 * of the wait before the floor, always stay on it, and its scale stays linear.
 * @param {ReturnType<typeof edges>} e
 * @param {number} elapsed
 * @param {number} width px
 * @param {number} size
 */
function cutAt(e, elapsed, width, size) {
  const px = (Math.min(e.lastCall, e.end) - e.bestFrom) * (width / e.end);
  if (width <= 0 || px >= bestNarrowestPx * Math.max(1, size)) return 0;
  return Math.max(0, Math.min(0.9 * (e.floor || e.bestFrom), elapsed - 0.05 * e.ceiling));
}

/**
 * @param {Rail} rail
 * @param {number} now kitchen ms
 * @param {number} width px
 * @param {number} [size] units: larger rails want a larger best
 */
export function geometry(rail, now, width, size = 1) {
  const elapsed = Math.max(0, now - rail.began);
  const e = edges(rail, elapsed);
  const start = cutAt(e, elapsed, width, size);
  const x = (/** @type {number} */ t) => Math.max(0, (100 * (t - start)) / (e.end - start));
  return {
    boxes: boxes(e)
      .filter((box) => box.to > start)
      .map((box) => ({ state: box.state, y: box.y, h: box.h, x: x(box.from), w: x(box.to) - x(box.from) })),
    cut: start > 0,
    post: e.limited ? x(e.ceiling) : undefined,
    now: x(elapsed),
    nextEdge: nextEdge(e, elapsed),
    x,
  };
}

/** Ms from now to the nearest edge on either side. @param {ReturnType<typeof edges>} e @param {number} elapsed */
function nextEdge(e, elapsed) {
  const all = [e.floor, e.bestFrom, e.lastCall, e.bestUntil, e.ceiling];
  return Math.min(...all.filter((t) => t > 0).map((t) => Math.abs(t - elapsed)));
}

/** The instant that the rail shows: every second near an edge, else every minute. @param {Rail} rail @param {number} now */
export function railInstant(rail, now) {
  const elapsed = Math.max(0, now - rail.began);
  const step = nextEdge(edges(rail, elapsed), elapsed) < 600_000 ? 1000 : 60_000;
  return rail.began + Math.floor(elapsed / step) * step;
}

/**
 * The numbers under a rail, each under its mark. Where two would touch they move aside, and where that is not enough the
 * earlier loses its own.
 * @param {Rail} rail
 * @param {(t: number) => number} x ms to percent
 * @param {number} width px
 * @param {{offset: number, textScale: number}} how
 * @returns {Label[]}
 */
export function labels(rail, x, width, how) {
  const fine = (rail.ceiling || rail.bestUntil || 0) <= 20 * 60_000;
  const all = marksOf(rail).map(([length, cap]) => {
    const text = rail.clocks ? timeOfDay(rail.began + length, how.offset) : standing(length, fine);
    const at = (x(length) / 100) * width;
    return { x: x(length), at, to: at, text, cap, wide: Math.max(widthOf(text), widthOf(cap)) * how.textScale };
  });
  for (;;) {
    spread(all, width);
    const strayed = all.findIndex((it) => Math.abs(it.to - it.at) > it.wide / 2 + strayMostPx);
    if (strayed < 0) break;
    all.splice(strayed, 1);
    for (const it of all) it.to = it.at;
  }
  return all.map(({ x: percent, at, to, text, cap }) => ({ x: percent, dx: to - at, text, cap }));
}

/** The marks that may have a number: length and word. @param {Rail} rail @returns {[number, string][]} */
function marksOf(rail) {
  const words = rail.words ?? {};
  const all = /** @type {[number | undefined, string | undefined][]} */ ([
    [rail.floor, words.floor],
    [rail.bestFrom === rail.floor ? 0 : rail.bestFrom, words.bestFrom],
    [rail.bestUntil === rail.ceiling ? 0 : rail.bestUntil, words.until],
    [rail.ceiling, words.limit],
  ]);
  return /** @type {[number, string][]} */ (all.filter(([length]) => length).map(([length, cap]) => [length, cap ?? ""]));
}

/** Pushes labels apart and keeps them on the rail. @param {{to: number, wide: number}[]} all @param {number} width */
function spread(all, width) {
  for (let round = 0; round < 40; round++) {
    for (let i = 0; i + 1 < all.length; i++) {
      const overlap = all[i].to + all[i].wide / 2 + labelGapPx - (all[i + 1].to - all[i + 1].wide / 2);
      if (overlap <= 0) continue;
      all[i].to -= overlap / 2;
      all[i + 1].to += overlap / 2;
    }
    for (const it of all) it.to = Math.min(Math.max(it.to, it.wide / 2), width - it.wide / 2);
  }
}
