// Sections are how bytes cross between JavaScript and the core: tag, u32 little-endian length, payload, repeated.

/** @typedef {{seq: number, id: Uint8Array, record: Uint8Array}} Kept one entry; seq 0 means that the kitchen has not numbered it yet */
/** @typedef {{kitchen: number, wall: number, mono: number, pace: number, bound: number}} Clock */
/** @typedef {{view: string, path: string, now: Clock, lang: string, kind: string} & Record<string, unknown>} Screen */
/** @typedef {{key: string, at: number, level: "info" | "attention" | "danger", say: string, lang: string}} Bell */
/** @typedef {{now: Bell[], book: Bell[]} & Record<string, unknown>} Ring */
/** @typedef {{state: Uint8Array, tail: Kept[]}} Base */
/**
 * @typedef {object} Outcome what must follow a step, in this order
 * @property {Kept[]} keep
 * @property {Base | null} base
 * @property {Uint8Array | null} memory
 * @property {Uint8Array | null} top what the core folded last, for its next start
 * @property {Uint8Array[]} send
 * @property {Ring | null} ring
 * @property {Screen[]} draw
 * @property {string} cut why the line must be hung up and dialled anew, or ""
 * @property {string[]} notes for the console
 * @property {Clock | null} clock
 * @property {number} wake wall time in ms at which the core wants to be stepped again; 0 when it said nothing
 * @property {Uint8Array | null} plan what the planner has come to
 * @property {string} fault why the core broke down, or ""
 */

/**
 * @typedef {{do: "boot", view: string, path: string, known: boolean, visible: boolean}
 *   | {do: "look", path: string} | {do: "tap", path: string, tap: unknown}
 *   | {do: "ability", ability: Record<string, boolean>} | {do: "visible", visible: boolean}
 *   | {do: "pair", pairing: import("./shelf.js").Pairing} | {do: "close"} | {do: "here"} | {do: "state"} | {do: "photo"}
 *   | {do: "log", name: string, bytes: Uint8Array} | {do: "planned", bytes: Uint8Array}} Asked what a page says
 * @typedef {{tell: "draw", screen: Screen} | {tell: "ring", ring: unknown} | {tell: "clock", clock: unknown}
 *   | {tell: "notice", id: string, on: boolean} | {tell: "unpaired", lost: boolean, out: string} | {tell: "paired"}
 *   | {tell: "owner", mine: boolean} | {tell: "state", bytes: Uint8Array | null}} Told what a page hears
 */

/**
 * @typedef {{do: "night", state: Uint8Array, tap: unknown, path: string, lang: string} | {do: "look", path: string}
 *   | {do: "tap", path: string, tap: unknown}} PracticeAsked what a page says to its pretend kitchen
 * @typedef {{tell: "draw", screen: Screen} | {tell: "ring", ring: unknown} | {tell: "clock", clock: unknown}
 *   | {tell: "broken", why: string}} PracticeTold what it hears
 */

/**
 * @typedef {{do: "plan", state: Uint8Array, tap: unknown, lang: string} | {do: "change", tap: unknown} | {do: "rest"}} PlanAsked what a page says to its planner
 * @typedef {{tell: "plan", bytes: Uint8Array, ms: number} | {tell: "rests"} | {tell: "broken", why: string}} PlanTold what it hears
 */

const TEXT = new TextDecoder();

/** @returns {Outcome} */
export function emptyOutcome() {
  return {
    keep: [],
    base: null,
    memory: null,
    top: null,
    send: [],
    cut: "",
    notes: [],
    ring: null,
    draw: [],
    clock: null,
    wake: 0,
    plan: null,
    fault: "",
  };
}

/**
 * split walks over sections and calls take for each.
 * @param {Uint8Array} bytes
 * @param {(tag: string, payload: Uint8Array) => void} take
 */
export function split(bytes, take) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 0;
  while (at < bytes.length) {
    if (bytes.length - at < 5) throw new Error(`sections: ${bytes.length - at} bytes left over, a head needs 5`);
    const size = view.getUint32(at + 1, true);
    if (size > bytes.length - at - 5) throw new Error(`sections: ${size} bytes promised, ${bytes.length - at - 5} there`);
    take(String.fromCharCode(bytes[at]), bytes.subarray(at + 5, at + 5 + size));
    at += 5 + size;
  }
}

/**
 * join is the inverse of split.
 * @param {[string, Uint8Array][]} sections
 */
export function join(sections) {
  const out = new Uint8Array(sections.reduce((sum, [, payload]) => sum + 5 + payload.length, 0));
  const view = new DataView(out.buffer);
  let at = 0;
  for (const [tag, payload] of sections) {
    out[at] = tag.charCodeAt(0);
    view.setUint32(at + 1, payload.length, true);
    out.set(payload, at + 5);
    at += 5 + payload.length;
  }
  return out;
}

/**
 * readKept takes a K or T payload apart: u64 number, 16 bytes of id, the record.
 * @param {Uint8Array} payload
 * @returns {Kept}
 */
export function readKept(payload) {
  if (payload.length < 24) throw new Error(`sections: a kept record of ${payload.length} bytes, at least 24 needed`);
  return { seq: readNumber(payload), id: payload.slice(8, 24), record: payload.slice(24) };
}

/** @param {Kept} kept */
export function writeKept(kept) {
  const out = new Uint8Array(24 + kept.record.length);
  new DataView(out.buffer).setBigUint64(0, BigInt(kept.seq), true);
  out.set(kept.id, 8);
  out.set(kept.record, 24);
  return out;
}

/** @param {Uint8Array} payload */
function readNumber(payload) {
  return Number(new DataView(payload.buffer, payload.byteOffset, payload.byteLength).getBigUint64(0, true));
}

/** @param {Uint8Array} payload */
function readJSON(payload) {
  return JSON.parse(TEXT.decode(payload));
}

/** @type {Record<string, (into: Outcome, payload: Uint8Array) => void>} */
const READERS = {
  K: (o, p) => o.keep.push(readKept(p)),
  B: (o, p) => {
    o.base = { state: p.slice(), tail: [] };
  },
  T: (o, p) => {
    if (!o.base) throw new Error("sections: a tail record before its base");
    o.base.tail.push(readKept(p));
  },
  M: (o, p) => {
    o.memory = p.slice();
  },
  O: (o, p) => {
    o.top = p.slice();
  },
  S: (o, p) => o.send.push(p.slice()),
  X: (o, p) => {
    o.cut = TEXT.decode(p) || "no reason given";
  },
  N: (o, p) => o.notes.push(TEXT.decode(p)),
  R: (o, p) => {
    o.ring = readJSON(p);
  },
  D: (o, p) => o.draw.push(readJSON(p)),
  C: (o, p) => {
    o.clock = readJSON(p);
  },
  W: (o, p) => {
    o.wake = readNumber(p);
  },
  P: (o, p) => {
    o.plan = p.slice();
  },
  F: (o, p) => {
    o.fault = String(readJSON(p).text ?? "the core broke down");
  },
};

/**
 * readOutcome decodes what the core's step returned. Tags it does not know are passed over.
 * @param {Uint8Array} bytes
 */
export function readOutcome(bytes) {
  const outcome = emptyOutcome();
  split(bytes, (tag, payload) => READERS[tag]?.(outcome, payload));
  return outcome;
}

/**
 * writeStored packs what the shelf holds for the core's start.
 * @param {{base: Uint8Array | null, tail: Kept[], memory: Uint8Array | null, top?: Uint8Array | null}} stored
 */
export function writeStored(stored) {
  /** @type {[string, Uint8Array][]} */
  const sections = [];
  if (stored.base) sections.push(["B", stored.base]);
  for (const kept of stored.tail) sections.push(["T", writeKept(kept)]);
  if (stored.memory) sections.push(["M", stored.memory]);
  if (stored.top) sections.push(["O", stored.top]);
  return join(sections);
}
