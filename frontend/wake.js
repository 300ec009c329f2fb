// The screen is kept awake while the page is in front: a phone that sleeps does not ring.

const AGAIN = 30_000; // ms until a refused lock is asked for again; a low battery may have passed

/** Awake holds the screen's wake lock and takes it again whenever the system let it go. */
export class Awake {
  /** @param {() => void} changed */
  constructor(changed) {
    this.changed = changed;
    /** @type {WakeLockSentinel | null} */
    this.lock = null;
    this.asking = false;
  }

  begin() {
    document.addEventListener("visibilitychange", () => this.hold());
    setInterval(() => this.hold(), AGAIN);
    this.hold();
  }

  held() {
    return this.lock !== null && !this.lock.released;
  }

  async hold() {
    if (this.held() || this.asking || document.visibilityState !== "visible" || !navigator.wakeLock) return;
    this.asking = true;
    try {
      this.lock = await navigator.wakeLock.request("screen");
      this.lock.addEventListener("release", () => this.#released());
    } catch {
      this.lock = null; // refused: the page says that the screen may go dark
    } finally {
      this.asking = false;
      this.changed();
    }
  }

  #released() {
    this.lock = null;
    this.changed();
    this.hold();
  }
}
