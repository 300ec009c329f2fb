// The bell books sound ahead on the audio clock, shakes and speaks, and knows whether this page can be heard now.
import { cuts, lengthOf, plan, render, SIGNALS, urgency } from "./bell_plan.js";

/** @typedef {import("./bell_plan.js").Level} Level */
/** @typedef {import("./bell_plan.js").Ring} Ring */
/** @typedef {import("./bell_plan.js").Burst} Burst */
/** @typedef {{kitchen: number, mono: number, pace: number}} Clock */
/** @typedef {"none" | "suspended" | "running" | "stuck"} Sound */
/** @typedef {Burst & {audio: number | null, page: number, source: AudioBufferSourceNode | null}} Booking audio: seconds on the audio clock; page: ms of performance.now */

const AHEAD = 10 * 60_000; // real ms of bursts booked at once; hidden pages may be woken but once a minute
const REBOOK = 20_000; // real ms; the audio clock drifts against the other
const STANDS_AFTER = 1_500; // real ms in which a running audio clock must have moved
const MOVED = 2; // kitchen ms by which a clock must have moved for the bells to be booked anew
const LOCK = "brinebell-sound";
const PRETEND_SHAKE = [60]; // ms: one short shake, whatever rings

/** mono is the one clock that page and worker share; nothing but a sleep of the whole device stops it. */
export const mono = () => performance.timeOrigin + performance.now();

/** A Bell is this page's voice. */
export class Bell {
  /** @param {{changed: () => void, loudness: () => number, speaks: () => boolean, pretend?: boolean}} on pretend: the voice of practice */
  constructor(on) {
    this.on = on;
    this.pretend = on.pretend ?? false;
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {GainNode | null} */
    this.out = null;
    /** @type {Map<Level, AudioBuffer>} */
    this.buffers = new Map();
    /** @type {Ring} */
    this.ring = { now: [], book: [] };
    /** @type {Clock | null} */
    this.clock = null;
    /** @type {Booking[]} */
    this.bookings = [];
    /** @type {Set<string>} */
    this.heard = new Set();
    this.lead = this.pretend || !navigator.locks; // whether this tab, of all tabs of this device, sounds
    this.contended = false;
    this.stuck = false;
    this.timer = 0;
    this.last = { audio: -1, page: 0 };
    this.touched = false;
  }

  /** begin tries for sound at once (an installed page may have it) and again at every touch. */
  begin() {
    for (const type of ["pointerdown", "keydown", "click"]) addEventListener(type, () => this.unlock(), { capture: true, passive: true });
    document.addEventListener("visibilitychange", () => this.#seen());
    document.addEventListener("resume", () => this.#seen());
    setInterval(() => this.#watch(), 500);
    setInterval(() => this.book(), REBOOK);
    globalThis.speechSynthesis?.addEventListener?.("voiceschanged", () => this.on.changed());
    if ("audioSession" in navigator) /** @type {any} */ (navigator.audioSession).type = "playback";
    this.#open();
  }

  /** @returns {Sound} */
  sound() {
    if (!this.context) return "none";
    if (this.stuck) return "stuck";
    return this.context.state === "running" ? "running" : "suspended";
  }

  /** vibrates says whether a shake would be carried out: browsers refuse it before the first touch and while hidden. */
  vibrates() {
    return typeof navigator.vibrate === "function" && this.touched;
  }

  /** unlock must be called within a touch. */
  unlock() {
    this.touched = true;
    if (!this.context || this.stuck) this.#open();
    if (this.context && this.context.state !== "running") this.context.resume().catch(() => {});
  }

  /**
   * set takes what rings. What is silenced stops at once.
   * @param {Ring} ring
   */
  set(ring) {
    this.ring = { now: [...(ring.now ?? [])].sort(urgency), book: ring.book ?? [] };
    const alive = new Set([...this.ring.now, ...this.ring.book].map((bell) => bell.key));
    for (const key of this.heard) if (!alive.has(key)) this.heard.delete(key);
    for (const booking of this.bookings) if (!alive.has(booking.key)) silence(booking);
    this.book();
  }

  /** @param {Clock} clock */
  setClock(clock) {
    const before = this.clock;
    const moved = before && clock.kitchen - before.kitchen - (clock.mono - before.mono) * before.pace;
    this.clock = clock;
    if (moved === null || Math.abs(moved) >= MOVED || clock.pace !== before?.pace) this.book();
  }

  /** kitchenNow is kitchen time in ms, or this device's own while the kitchen's is not known. */
  kitchenNow() {
    const { clock } = this;
    return clock ? clock.kitchen + (mono() - clock.mono) * clock.pace : Date.now();
  }

  /**
   * play sounds one burst now, for the test of this device.
   * @param {Level} level
   */
  play(level) {
    this.unlock();
    this.#source(level)?.start();
    navigator.vibrate?.(SIGNALS[level].shake);
  }

  /**
   * say speaks a sentence by a voice that lives on this device; without one it stays silent.
   * @param {string} text
   * @param {string} lang
   * @param {boolean} [asked] somebody asked for it just now
   */
  say(text, lang, asked = false) {
    const voice = voiceFor(lang);
    if (!voice || !text || !(asked || this.on.speaks())) return false;
    const sentence = new SpeechSynthesisUtterance(text);
    sentence.voice = voice;
    sentence.lang = voice.lang;
    speechSynthesis.cancel();
    speechSynthesis.speak(sentence);
    return true;
  }

  /** loudness applies the setting. */
  loudness() {
    if (this.out) this.out.gain.value = this.on.loudness();
  }

  /** book lays every burst of the next minutes on the audio clock, anew. */
  book() {
    if (!this.clock) return;
    const { pace } = this.clock;
    const now = this.kitchenNow();
    const playing = this.bookings.filter((b) => b.at <= now && b.end > now && b.source);
    for (const booking of this.bookings) if (!playing.includes(booking)) silence(booking);
    for (const { key, at } of this.bookings) if (at <= now) this.heard.add(key);
    const bursts = plan(this.ring, now, now + AHEAD * pace, pace, this.heard).filter((burst) => this.#fits(burst, playing));
    this.bookings = [...playing, ...bursts.map((burst) => this.#lay(burst))];
    this.#record();
    this.#nextDeed();
  }

  /**
   * fits says whether a burst may sound beside what sounds already, which it stops if it is more urgent.
   * @param {Burst} burst
   * @param {Booking[]} playing
   */
  #fits(burst, playing) {
    const before = playing.find((b) => burst.at < b.end);
    if (!before) return true;
    if (!cuts(burst, before)) return false;
    before.source?.stop(this.#audioAt(this.#pageAt(burst.at)) ?? 0);
    before.end = burst.at;
    return true;
  }

  /**
   * pageAt turns a kitchen instant into ms of performance.now.
   * @param {number} at
   */
  #pageAt(at) {
    const { kitchen, mono: read, pace } = /** @type {Clock} */ (this.clock);
    return read + (at - kitchen) / pace - performance.timeOrigin;
  }

  /**
   * @param {Burst} burst
   * @returns {Booking}
   */
  #lay(burst) {
    const { pace } = /** @type {Clock} */ (this.clock);
    const page = this.#pageAt(burst.at);
    const audio = this.#audioAt(page);
    const sounds = audio !== null && this.lead && this.sound() === "running";
    const source = sounds ? this.#source(burst.level) : null;
    source?.start(audio ?? 0);
    const whole = lengthOf(burst.level);
    const real = (burst.end - burst.at) / pace;
    if (source && audio !== null && real < whole) source.stop(audio + real / 1000);
    return { ...burst, audio, page, source };
  }

  /**
   * audioAt says where on the audio clock a page instant will be heard.
   * @param {number} page ms of performance.now
   */
  #audioAt(page) {
    const { context } = this;
    if (!context) return null;
    const out = context.getOutputTimestamp?.();
    const known = out?.contextTime && out.performanceTime;
    const at = known ? out : { contextTime: context.currentTime, performanceTime: performance.now() };
    return Math.max(context.currentTime, (at.contextTime ?? 0) + (page - (at.performanceTime ?? 0)) / 1000);
  }

  /** @param {Level} level */
  #source(level) {
    const { context, out } = this;
    if (!context || !out) return null;
    let buffer = this.buffers.get(level);
    if (!buffer) {
      const samples = render(level, context.sampleRate, this.pretend);
      buffer = context.createBuffer(1, samples.length, context.sampleRate);
      buffer.copyToChannel(samples, 0);
      this.buffers.set(level, buffer);
    }
    const source = context.createBufferSource();
    source.buffer = buffer;
    source.connect(out);
    return source;
  }

  /** nextDeed waits for the next burst to shake and speak; a timer may be late, so it looks at what is due. */
  #nextDeed(after = performance.now()) {
    clearTimeout(this.timer);
    const next = this.bookings.find((b) => b.page > after);
    if (!next) return;
    this.timer = Number(setTimeout(() => this.#deed(next), Math.min(next.page - performance.now(), 0x7fffffff)));
  }

  /** @param {Booking} booking */
  #deed(booking) {
    this.heard.add(booking.key);
    if (this.lead) {
      navigator.vibrate?.(this.pretend ? PRETEND_SHAKE : SIGNALS[booking.level].shake);
      if (booking.turn % 3 <= 0) setTimeout(() => this.say(booking.say, booking.lang), lengthOf(booking.level) + 150);
    }
    this.#nextDeed(Math.max(booking.page, performance.now())); // a timer may also be a hair early
  }

  /** record tells tests, read-only, what is booked. */
  #record() {
    const booked = this.bookings.map(({ key, at, audio, page }) => ({ key, at, audio, page }));
    if (!this.pretend) Object.assign(globalThis, { __brinebellRings: booked.map(({ key, at }) => ({ key, kitchenAt: at })) });
    this.booked = booked;
  }

  #open() {
    this.context?.close().catch(() => {});
    this.context = null;
    this.buffers.clear();
    try {
      this.context = new AudioContext();
    } catch {
      this.on.changed();
      return;
    }
    this.stuck = false;
    this.last = { audio: -1, page: 0 };
    const press = new DynamicsCompressorNode(this.context, { threshold: -18, ratio: 4 });
    this.out = new GainNode(this.context, { gain: this.on.loudness() });
    this.out.connect(press).connect(this.context.destination);
    this.context.onstatechange = () => this.#turned();
  }

  #turned() {
    if (this.sound() === "running") this.#contend();
    this.book();
    this.on.changed();
  }

  /** seen follows a page that came into view again: after a freeze the audio clock stood still and bells were missed. */
  #seen() {
    if (document.visibilityState === "visible") {
      if (this.context?.state !== "running" && this.touched) this.context?.resume().catch(() => {});
      this.contended = false;
      this.#contend();
    }
    this.book();
    this.on.changed();
  }

  /** contend makes one tab of this device the one that sounds: the last one looked at. */
  #contend() {
    if (this.contended || this.pretend || !navigator.locks || this.sound() !== "running") return;
    this.contended = true;
    const steal = document.visibilityState === "visible";
    navigator.locks.request(LOCK, { steal }, () => this.#leads()).catch(() => this.#follows());
  }

  #leads() {
    this.lead = true;
    this.book();
    return new Promise(() => {}); // until the page goes or another tab takes it
  }

  #follows() {
    this.lead = false;
    this.book();
    navigator.locks.request(LOCK, () => this.#leads()).catch(() => this.#follows());
  }

  /** watch finds an audio clock that says that it runs and stands still. */
  #watch() {
    const { context, last } = this;
    if (context?.state !== "running") return;
    const page = performance.now();
    if (context.currentTime !== last.audio) {
      this.last = { audio: context.currentTime, page };
      if (this.stuck) this.#mark(false);
    } else if (!this.stuck && page - last.page >= STANDS_AFTER) this.#mark(true);
  }

  /** @param {boolean} stuck */
  #mark(stuck) {
    this.stuck = stuck;
    this.#turned();
  }
}

/** @param {Booking} booking */
function silence({ source }) {
  try {
    source?.stop();
  } catch {
    // it never started
  }
  source?.disconnect();
}

/**
 * voiceFor finds a voice of this device for a language; voices that need a server do not count.
 * @param {string} lang
 */
export function voiceFor(lang) {
  const voices = globalThis.speechSynthesis?.getVoices() ?? [];
  return voices.find((voice) => voice.localService && voice.lang.toLowerCase().startsWith(lang.toLowerCase())) ?? null;
}
