// The engine steps the core with what happens on this phone and carries its orders out: keep, then send, ring, draw.
import { Broken, clocks } from "./broken.js";
import { emptyOutcome, writeStored } from "./sections.js";
import { Fenced, writes } from "./shelf.js";

/** @typedef {import("./sections.js").Outcome} Outcome */
/** @typedef {import("./shelf.js").Pairing} Pairing */
/** @typedef {import("./shelf.js").Batch} Batch */
/** @typedef {import("./core.js").Header} Header */
/** @typedef {{op: Header["op"], view?: string, path?: string, lang?: string, tap?: unknown, ability?: unknown, file?: string, first?: boolean, last?: boolean}} Happening */
/** @typedef {{header: Header, frame: Uint8Array | null}} Input */
/**
 * @typedef {object} Parts
 * @property {{start: (trusting?: boolean) => Promise<boolean | void>, step: (header: Header, blob?: Uint8Array | null) => Outcome, lacks?: (header: Header) => boolean, whole?: (header: Header) => Promise<void>, later?: {module: unknown}}} core
 * @property {{load: () => Promise<import("./shelf.js").Stored>, keep: (batches: Batch[]) => Promise<void>}} shelf
 * @property {{start: () => void, stop: () => void, send: (frame: Uint8Array) => void, redial: () => void}} line
 * @property {import("./shelf.js").Stored} [stored] what was loaded from the shelf since it was claimed
 * @property {() => void} [topped] a top was kept: it has been quiet for a little
 * @property {() => void} [doubted] the core broke down: what it might start from the next time is better forgotten
 * @property {Pairing} pairing
 * @property {string} lang the device's language until a crew member is chosen
 * @property {(outcome: Outcome) => void} show ring, clock and screens, after all was kept and sent
 * @property {(id: string, on: boolean) => void} notice a standing sentence, by its word id
 * @property {() => void} shutOut the kitchen took this device off and holds all that it had to tell
 * @property {(orphans: Input[]) => void} fenced another tab owns the core now; these inputs were not carried out
 * @property {(run: () => void, ms: number) => number} [later]
 * @property {(id: number) => void} [forget]
 */

const STRANGE = "version"; // the kitchen and this core do not speak the same frames
const SHUT_OUT = "revoked"; // the core cuts the line so when nothing waits any more
const TICK_MOST = 10_000; // ms: the core is stepped at least so often
const TICK_LEAST = 20;
const RETRY_STORE = 5_000;
const FAULTS_MOST = 3; // within FAULT_SPAN; after that the rules stay stopped and the booked bells ring on
const FAULT_SPAN = 60_000;
const TOGETHER_MOST = 64; // inputs of one transaction

/** An Engine is the owner's loop over one core. */
export class Engine {
  /** @param {Parts} parts */
  constructor(parts) {
    this.parts = parts;
    this.later = parts.later ?? ((run, ms) => Number(setTimeout(run, ms)));
    this.forget = parts.forget ?? ((id) => clearTimeout(id));
    /** @type {Input[]} */
    this.queue = [];
    /** @type {Input[]} */
    this.held = []; // what needs more of the core than is here
    /** @type {Map<string, string>} */
    this.views = new Map();
    /** @type {Batch[]} */
    this.unsaved = [];
    /** @type {number[]} */
    this.faults = [];
    this.stored = parts.stored ?? null;
    this.trusting = true; // a top or an image may be started from
    this.timer = 0;
    this.retry = 0;
    this.busy = false;
    this.stopped = false;
    this.ready = false;
  }

  /** start brings the core up from the shelf and opens the line. */
  async start() {
    await this.#revive();
    if (this.stopped) return;
    this.ready = true;
    this.parts.line.start();
    await this.#pump();
  }

  /**
   * push takes what happened; the stamps are of now, less the time it lay in the socket's queue.
   * @param {Happening} happening
   * @param {Uint8Array | null} [frame]
   * @param {number} [lag] ms
   */
  push(happening, frame = null, lag = 0) {
    if (this.stopped) return;
    const { wall, mono } = clocks();
    const late = Math.round(lag);
    const input = { header: { ...happening, wall: wall - late, mono: mono - late }, frame };
    const { op, view } = happening;
    if (op === "look" || op === "close") this.held = this.held.filter(({ header }) => header.op !== "look" || header.view !== view);
    if (this.parts.core.lacks?.(input.header)) this.#hold(input);
    else this.#queue([input]);
  }

  /** @param {Input[]} inputs */
  #queue(inputs) {
    for (const { header } of inputs) this.#remember(header);
    this.queue.push(...inputs);
    this.#pump();
  }

  /** hold keeps a tap, or a look at a screen, until the part of the core that it needs is here; all else goes on. @param {Input} input */
  #hold(input) {
    this.held.push(input);
    this.parts.core.whole?.(input.header).then(() => {
      if (this.stopped) return;
      const still = this.held.filter(({ header }) => this.parts.core.lacks?.(header));
      const ready = this.held.filter((held) => !still.includes(held));
      this.held = still;
      this.#queue(ready);
    });
  }

  /** stop ends the loop; nothing is written after it. */
  stop() {
    this.stopped = true;
    this.ready = false;
    this.forget(this.timer);
    this.forget(this.retry);
    this.parts.line.stop();
  }

  /** state returns the bytes of the whole folded state, for tests that compare devices. */
  state() {
    return this.ready ? (this.parts.core.step({ op: "state", ...clocks() }).base?.state ?? null) : null;
  }

  /** @param {Happening} happening */
  #remember({ op, view, path }) {
    if (view && op === "look") this.views.set(view, path ?? "/");
    if (view && op === "close") this.views.delete(view);
  }

  async #pump() {
    if (this.busy || !this.ready) return;
    this.busy = true;
    try {
      while (this.queue.length > 0 && !this.stopped) await this.#turn(this.queue.splice(0, TOGETHER_MOST));
    } finally {
      this.busy = false;
    }
  }

  /**
   * turn steps a few inputs, keeps all their entries in one transaction and only then lets anybody know.
   * @param {Input[]} inputs
   */
  async #turn(inputs) {
    /** @type {Outcome[]} */
    const outcomes = [];
    /** @type {Broken | null} */
    let broken = null;
    let done = 0;
    for (const { header, frame } of inputs) {
      done++;
      try {
        outcomes.push(this.parts.core.step(header, frame));
      } catch (err) {
        broken = err instanceof Broken ? err : new Broken(String(err)); // an answer that cannot be read is no better
        break;
      }
    }
    if (!(await this.#keep(outcomes, inputs))) return;
    this.#carry(outcomes);
    if (broken) await this.#restart(broken, inputs.slice(done));
  }

  /**
   * keep makes the outcomes durable. A store that fails does not stop the bells: the entries wait in memory.
   * @param {Batch[]} outcomes
   * @param {Input[]} inputs
   * @returns {Promise<boolean>} false when another tab took over
   */
  async #keep(outcomes, inputs) {
    const batches = [...this.unsaved, ...outcomes.filter(writes)];
    if (batches.length === 0) return true;
    try {
      await this.parts.shelf.keep(batches);
    } catch (err) {
      if (err instanceof Fenced) {
        this.stop();
        this.parts.fenced([...inputs, ...this.queue.splice(0), ...this.held.splice(0)]);
        return false;
      }
      this.#storeFailed(batches, err);
      return !this.stopped;
    }
    if (this.unsaved.length > 0) this.#storeMended();
    if (batches.some(({ top }) => top)) this.parts.topped?.();
    return !this.stopped;
  }

  /**
   * @param {Batch[]} batches
   * @param {unknown} err
   */
  #storeFailed(batches, err) {
    this.unsaved = batches;
    const full = err instanceof Error && err.name === "QuotaExceededError";
    this.parts.notice(full ? "store_full" : "store_fail", true);
    this.forget(this.retry);
    this.retry = this.later(() => this.push({ op: "tick" }), RETRY_STORE);
  }

  #storeMended() {
    this.unsaved = [];
    this.parts.notice("store_full", false);
    this.parts.notice("store_fail", false);
  }

  /** @param {Outcome[]} outcomes */
  #carry(outcomes) {
    const all = merge(outcomes);
    for (const frame of all.send) this.parts.line.send(frame);
    if (all.cut && all.cut !== SHUT_OUT) this.parts.line.redial();
    if (all.cut === STRANGE) this.parts.notice("too_old", true); // it goes on dialling: the server may be the old one
    for (const note of all.notes) console.warn("core:", note);
    this.parts.show(all);
    this.#wake(all.wake);
    if (all.cut === SHUT_OUT) this.parts.shutOut();
  }

  /** @param {number} wall ms, 0 when the core named no time */
  #wake(wall) {
    this.forget(this.timer);
    const wait = wall > 0 ? Math.min(TICK_MOST, Math.max(TICK_LEAST, wall - clocks().wall)) : TICK_MOST;
    this.timer = this.later(() => this.push({ op: "tick" }), wait);
  }

  /**
   * restart follows a breakdown: a fresh core from the shelf, without the input that broke it.
   * @param {Broken} why
   * @param {Input[]} rest
   */
  async #restart(why, rest) {
    console.error("the core broke down:", why.message);
    this.ready = false;
    this.parts.line.stop();
    const now = clocks().mono;
    this.faults = [...this.faults.filter((at) => now - at < FAULT_SPAN), now];
    if (this.faults.length > FAULTS_MOST) {
      this.parts.notice("core_dead", true);
      this.stop();
      return;
    }
    this.parts.notice("core_fault", true);
    this.#doubt();
    await this.#revive();
    if (this.stopped) return;
    this.queue.unshift(...rest.filter(({ header }) => header.op !== "frame" && header.op !== "opened" && header.op !== "shut"));
    this.ready = true;
    this.parts.line.start();
  }

  /** revive starts the core and gives it what the shelf holds, and what the shelf could not take. */
  async #revive() {
    for (;;) {
      const trusted = this.trusting;
      try {
        await this.#begin();
        return;
      } catch (err) {
        if (trusted) {
          console.warn("the core does not start; once more without what it folded before:", err);
          this.#doubt();
          continue;
        }
        console.error("the core does not start:", err);
        this.parts.notice("core_dead", true);
        this.stop();
        return;
      }
    }
  }

  #doubt() {
    if (this.trusting) this.parts.doubted?.();
    this.trusting = false;
  }

  async #begin() {
    const goesOn = await this.parts.core.start(this.trusting);
    const { tail, base, memory, top } = this.stored ?? (await this.parts.shelf.load());
    this.stored = null; // from here on the shelf holds more
    const waiting = this.unsaved.flatMap((batch) => batch.keep);
    const { device, key } = this.parts.pairing;
    const blob = writeStored({ base, memory, tail: [...tail, ...waiting], top: this.trusting && !goesOn ? top : null });
    const first = this.parts.core.step({ op: "start", ...clocks(), device, key, lang: this.parts.lang }, blob);
    const kept = this.#keep([first], []);
    const all = [first, ...this.#lookAgain()];
    const old = all.every(({ keep, base }) => keep.length === 0 && !base); // what is seen is on the shelf already, and waits for nothing
    if (old) this.#carry(all);
    if (!(await kept) || !(await this.#keep(all.slice(1), []))) return;
    if (!old) this.#carry(all);
    if (this.parts.core.later?.module) this.push({ op: "planned" });
  }

  /** lookAgain draws what the pages show; what the core lacks a part for is drawn once it is here. */
  #lookAgain() {
    const outcomes = [];
    for (const [view, path] of this.views) {
      /** @type {Header} */
      const header = { op: "look", view, path, lang: this.parts.lang, ...clocks() };
      if (this.parts.core.lacks?.(header)) this.#hold({ header, frame: null });
      else outcomes.push(this.parts.core.step(header));
    }
    return outcomes;
  }
}

/**
 * merge makes one outcome of several: every frame in order, the last ring and clock, the last screen of each view.
 * @param {Outcome[]} outcomes
 */
export function merge(outcomes) {
  const all = emptyOutcome();
  /** @type {Map<string, import("./sections.js").Screen>} */
  const screens = new Map();
  for (const outcome of outcomes) {
    all.send.push(...outcome.send);
    all.notes.push(...outcome.notes);
    if (outcome.cut) all.cut = outcome.cut;
    if (outcome.ring) all.ring = outcome.ring;
    if (outcome.clock) all.clock = outcome.clock;
    for (const screen of outcome.draw) screens.set(screen.view, screen);
    if (outcome.wake > 0) all.wake = outcome.wake;
  }
  all.draw = [...screens.values()];
  return all;
}
