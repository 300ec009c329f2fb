// When which signal sounds: a pure function of what rings, so that every device that knows the same rings alike.
//
// Rhythm tells the signals apart, not loudness. Pulse and pause lengths keep within the ranges of IEC 60601-1-8
// (Tables 3 and 4), main tones within ISO 7731's 500 to 2500 Hz with energy below 1500 Hz; figures from memory, see
// testdata/published. The tones themselves are ours.

/** @typedef {"info" | "attention" | "danger"} Level */
/** @typedef {{key: string, at: number, level: Level, say: string, lang: string}} Bell at: kitchen ms */
/** @typedef {{now: Bell[], book: Bell[]}} Ring */
/** @typedef {{on: number, gap: number, hertz: number}} Pulse on and gap in ms; the gap follows the pulse */
/** @typedef {{rank: number, every: number, pulses: Pulse[], shake: number[]}} Signal every: ms from burst to burst */
/** @typedef {{key: string, at: number, end: number, level: Level, say: string, lang: string, turn: number}} Burst one sounding, kitchen ms; turn counts a bell's bursts from 0, late ones are -1 */

/**
 * @param {number[]} hertz
 * @param {number} on
 * @param {number[]} gaps
 * @returns {Pulse[]}
 */
const pulses = (hertz, on, gaps) => hertz.map((tone, i) => ({ on, gap: gaps[i] ?? 0, hertz: tone }));

/** @type {Record<Level, Signal>} */
export const SIGNALS = {
  info: { rank: 0, every: 20_000, pulses: pulses([587, 523], 200, [240]), shake: [200] },
  attention: { rank: 1, every: 8_000, pulses: pulses([622, 622, 784], 180, [180, 180]), shake: [200, 180, 200, 180, 200] },
  danger: {
    rank: 2,
    every: 5_000,
    pulses: pulses([880, 880, 880, 698, 698, 880, 880, 880, 698, 698], 120, [90, 90, 120, 90, 400, 90, 90, 120, 90]),
    shake: [120, 90, 120, 90, 120, 210, 120, 90, 120, 400, 120, 90, 120, 90, 120, 210, 120, 90, 120],
  },
};

/** @param {Level} level */
export function lengthOf(level) {
  return SIGNALS[level].pulses.reduce((sum, { on, gap }) => sum + on + gap, 0);
}

/**
 * urgency orders bells: the most urgent first, then the one that has waited longest.
 * @param {Bell} a
 * @param {Bell} b
 */
export function urgency(a, b) {
  return SIGNALS[b.level].rank - SIGNALS[a.level].rank || a.at - b.at || (a.key < b.key ? -1 : 1);
}

/**
 * plan lists the bursts from one kitchen instant to another: one sound at a time, the most urgent at every other
 * turn, the others between them, each new bell at its own instant unless something more urgent rings.
 * @param {Ring} ring
 * @param {number} from kitchen ms
 * @param {number} until kitchen ms
 * @param {number} [pace] kitchen ms per real ms
 * @param {ReadonlySet<string>} [heard] keys that this device has sounded before; another that rings already sounds at once
 * @returns {Burst[]}
 */
export function plan(ring, from, until, pace = 1, heard = new Set()) {
  const bells = dedupe([...ring.now.map((bell) => ({ ...bell, at: Math.min(bell.at, from) })), ...ring.book]);
  const edges = [...new Set(bells.map((bell) => bell.at))].sort((a, b) => a - b);
  /** @type {Burst[]} */
  const all = [];
  edges.forEach((edge, i) => {
    const end = Math.min(edges[i + 1] ?? until, until);
    if (end <= from || edge > until) return;
    const active = bells.filter((bell) => bell.at <= edge).sort(urgency);
    all.push(...segment(active, edge, Math.max(edge, from), end, pace));
  });
  return oneAtATime([...late(ring, from, pace, heard), ...all], pace);
}

/**
 * segment lays bursts on a grid that begins at the newest bell, while the set of bells stays the same.
 * @param {Bell[]} active most urgent first
 * @param {number} edge
 * @param {number} from
 * @param {number} end
 * @param {number} pace
 */
function segment(active, edge, from, end, pace) {
  const [leader, ...rest] = active;
  const step = SIGNALS[leader.level].every * pace;
  const others = rest.filter((bell) => bell.at === edge).concat(rest.filter((bell) => bell.at !== edge));
  /** @type {Burst[]} */
  const bursts = [];
  for (let k = Math.ceil((from - edge) / step); edge + k * step < end; k++) {
    const odd = k % 2 === 1 && others.length > 0;
    const bell = odd ? others[((k - 1) / 2) % others.length] : leader;
    bursts.push(burst(bell, edge + k * step, odd ? Math.floor((k - 1) / 2 / others.length) : k, pace));
  }
  return bursts;
}

/**
 * late is what this device owes: bells that began while it slept.
 * @param {Ring} ring
 * @param {number} from
 * @param {number} pace
 * @param {ReadonlySet<string>} heard
 */
function late(ring, from, pace, heard) {
  const owed = ring.now.filter((bell) => bell.at < from && !heard.has(bell.key)).sort(urgency);
  return owed.slice(0, 1).map((bell) => burst(bell, from, -1, pace));
}

/**
 * @param {Bell} bell
 * @param {number} at
 * @param {number} turn
 * @param {number} pace
 * @returns {Burst}
 */
function burst({ key, level, say, lang }, at, turn, pace) {
  return { key, at, end: at + lengthOf(level) * pace, level, say, lang, turn };
}

/**
 * oneAtATime keeps bursts from overlapping: a more urgent one, or a bell's first, cuts the one before short; any other waits for its next turn.
 * @param {Burst[]} bursts
 * @param {number} pace
 */
function oneAtATime(bursts, pace) {
  bursts.sort((a, b) => a.at - b.at || a.turn - b.turn);
  /** @type {Burst[]} */
  const out = [];
  for (const next of bursts) {
    const before = out.at(-1);
    if (before && next.at < before.end + 300 * pace) {
      if (!cuts(next, before)) continue;
      before.end = Math.min(before.end, next.at);
    }
    out.push(next);
  }
  return out;
}

/**
 * cuts says whether a burst may stop the one that still sounds.
 * @param {Burst} next
 * @param {Burst} before
 */
export function cuts(next, before) {
  return next.at > before.at && (SIGNALS[next.level].rank > SIGNALS[before.level].rank || next.turn === 0);
}

/** @param {Bell[]} bells */
function dedupe(bells) {
  /** @type {Map<string, Bell>} */
  const byKey = new Map();
  for (const bell of bells) {
    const other = byKey.get(bell.key);
    if (!other || bell.at < other.at) byKey.set(bell.key, bell);
  }
  return [...byKey.values()];
}

/**
 * render turns a signal into samples: each pulse a tone with four harmonics within 15 dB of it, softly begun and ended. A pretend
 * one keeps the rhythm and has another voice, so that nobody takes it for an alarm.
 * @param {Level} level
 * @param {number} rate samples a second
 * @param {boolean} [pretend]
 * @returns {Float32Array<ArrayBuffer>}
 */
export function render(level, rate, pretend = false) {
  const voice = pretend ? struck : sounding;
  const out = new Float32Array(Math.ceil((lengthOf(level) / 1000) * rate) + 1);
  let at = 0;
  for (const { on, gap, hertz } of SIGNALS[level].pulses) {
    const from = Math.round((at / 1000) * rate);
    const size = Math.round((on / 1000) * rate);
    for (let i = 0; i < size; i++) out[from + i] = voice(hertz, i / rate, on / 1000);
    at += on + gap;
  }
  return out;
}

const HARMONICS = [1, 0.7, 0.5, 0.4, 0.3];
const LOUDEST = HARMONICS.reduce((sum, part) => sum + part, 0);

/**
 * @param {number} hertz
 * @param {number} t seconds
 */
function tone(hertz, t) {
  return HARMONICS.reduce((sum, part, i) => sum + part * Math.sin(2 * Math.PI * hertz * (i + 1) * t), 0) / LOUDEST;
}

/**
 * @param {number} t seconds
 * @param {number} length seconds
 */
function envelope(t, length) {
  return Math.min(1, t / 0.012, Math.max(0, (length - t) / 0.025));
}

/**
 * @param {number} hertz
 * @param {number} t seconds
 * @param {number} length seconds
 */
const sounding = (hertz, t, length) => tone(hertz, t) * envelope(t, length);

/**
 * struck is how wood sounds: an octave below the alarms, loudest as it is struck and dying away at once.
 * @param {number} hertz
 * @param {number} t seconds
 * @param {number} length seconds
 */
function struck(hertz, t, length) {
  const wood = Math.sin(Math.PI * hertz * t) * Math.exp(-t / 0.045) + 0.25 * Math.sin(4 * Math.PI * hertz * t) * Math.exp(-t / 0.012);
  return (wood / 1.25) * Math.min(1, t / 0.002, Math.max(0, (length - t) / 0.01));
}
