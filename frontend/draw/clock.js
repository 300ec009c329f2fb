// Kitchen time on this page, and the one loop that moves everything that counts.

/** @typedef {{kitchen: number, mono: number, pace?: number}} Now kitchen time at one reading of the monotonic clock, ms */
/** @typedef {{update(now: number): void}} Mover something that looks again at the time, and changes the page only if it must */

const everyMs = 250;

/** Ms of a clock that no setting of the device can move; a worker of the same page reads the same one. */
export const monotonic = () => performance.timeOrigin + performance.now();

export class Clock {
  /** @param {() => number} [mono] */
  constructor(mono = monotonic) {
    this.mono = mono;
    /** @type {Now} */
    this.base = { kitchen: Date.now(), mono: mono(), pace: 1 };
    /** @type {Set<Mover>} */
    this.movers = new Set();
    this.timer = 0;
  }

  /** @param {Now} now */
  set(now) {
    this.base = now;
  }

  /** Kitchen time now, ms since 1970. */
  now() {
    return this.base.kitchen + (this.mono() - this.base.mono) * (this.base.pace ?? 1);
  }

  /** Keeps a mover going until the returned function is called. @param {Mover} mover */
  follow(mover) {
    this.movers.add(mover);
    if (!this.timer && typeof document !== "undefined" && !document.hidden) this.resume();
    return () => this.movers.delete(mover);
  }

  beat() {
    const now = this.now();
    for (const mover of this.movers) mover.update(now);
  }

  resume() {
    clearInterval(this.timer);
    this.timer = /** @type {any} */ (setInterval(() => this.beat(), everyMs));
    this.beat();
  }

  /** A hidden page need not count: it looks at the time again when it is shown. */
  pause() {
    clearInterval(this.timer);
    this.timer = 0;
  }
}

/** The clock of this page. */
export const clock = new Clock();

if (typeof document !== "undefined") {
  document.addEventListener("visibilitychange", () => (document.hidden ? clock.pause() : clock.resume()));
}
