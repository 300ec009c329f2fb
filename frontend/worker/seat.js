// The seat decides which tab of this origin owns the core: one at a time, and never one that has gone silent
// while somebody looks at another.

const LOCK = "brinebell-core";
export const ALIVE_EVERY = 1_000; // ms
export const SILENT_AFTER = 3_000; // ms without a sign of life after which a visible tab takes over
const FIRST_WAIT = 400; // ms in which a living owner answers a newcomer; only where the browser has no locks

/** @typedef {{id: string, epoch: number}} Owner */

/**
 * @typedef {object} World
 * @property {LockManager | undefined} locks absent on plain http
 * @property {() => number} now ms, monotonic
 * @property {(message: {kind: "alive" | "who" | "bye", id: string, epoch: number}) => void} post to the other tabs
 * @property {() => Promise<number>} claim raises the shelf's epoch and returns it
 */

/** A Seat is one tab's part in that. */
export class Seat {
  /**
   * @param {string} id
   * @param {World} world
   * @param {{taken: (epoch: number) => Promise<void> | void, lost: () => void}} on
   */
  constructor(id, world, on) {
    this.id = id;
    this.world = world;
    this.on = on;
    this.mine = false;
    this.taking = false;
    this.epoch = 0;
    this.visible = false;
    this.began = world.now();
    this.beaten = world.now();
    this.seenAlive = Number.NEGATIVE_INFINITY;
    /** @type {(() => void) | null} */
    this.release = null;
  }

  start() {
    this.began = this.world.now();
    this.#post("who");
    if (this.world.locks) this.#queue({});
  }

  /** beat is called every second by the worker: owners say that they live, others look whether one does. */
  beat() {
    if (this.mine) {
      this.#post("alive");
      return;
    }
    const now = this.world.now();
    if (now - this.beaten > 2 * ALIVE_EVERY) this.began = now; // this tab slept itself, so it heard nobody
    this.beaten = now;
    const quiet = now - Math.max(this.seenAlive, this.began);
    if (this.world.locks) {
      if (this.visible && quiet >= SILENT_AFTER) this.#steal();
      return;
    }
    const never = this.seenAlive === Number.NEGATIVE_INFINITY;
    if (quiet >= (never ? FIRST_WAIT : SILENT_AFTER)) this.#take();
  }

  /**
   * show says whether this tab is looked at. A tab that comes into view gives the owner its three seconds anew.
   * @param {boolean} visible
   */
  show(visible) {
    if (visible && !this.visible) this.began = this.world.now();
    this.visible = visible;
  }

  /**
   * hear takes what another tab said.
   * @param {{kind: "alive" | "who" | "bye", id: string, epoch: number}} message
   */
  hear(message) {
    if (message.kind === "who" && this.mine) this.#post("alive");
    if (message.kind === "bye" && !this.mine) {
      this.seenAlive = Number.NEGATIVE_INFINITY;
      this.began = this.world.now() - FIRST_WAIT; // no lock hands over here: the next beat may claim
      if (this.world.locks) this.began = this.world.now();
    }
    if (message.kind !== "alive") return;
    if (this.mine && message.epoch > this.epoch) this.leave();
    if (!this.mine) this.seenAlive = this.world.now();
  }

  /** leave gives the seat up: the shelf fenced this tab, a newer owner spoke, or the tab closes. */
  leave() {
    if (!this.mine) return;
    this.mine = false;
    this.began = this.world.now();
    const release = this.release;
    this.release = null;
    this.on.lost();
    release?.();
  }

  /** close says goodbye, so that the next tab need not wait. */
  close() {
    if (!this.mine) return;
    this.leave();
    this.#post("bye");
  }

  /** @param {LockOptions} options */
  #queue(options) {
    const held = () =>
      new Promise((release) => {
        this.release = () => release(undefined);
        this.#take();
      });
    this.world.locks?.request(LOCK, options, held).then(
      () => this.#again(options),
      () => this.#again(options),
    );
  }

  /**
   * again stands in the queue once more after the seat was stolen or given up.
   * @param {LockOptions} options
   */
  #again(options) {
    this.leave();
    if (!options.steal) this.#queue({});
  }

  #steal() {
    this.began = this.world.now(); // one theft per silence
    this.#queue({ steal: true });
  }

  async #take() {
    if (this.mine || this.taking) return;
    this.taking = true;
    try {
      this.epoch = await this.world.claim();
      this.mine = true;
      this.#post("alive");
      await this.on.taken(this.epoch);
    } finally {
      this.taking = false;
    }
  }

  /** @param {"alive" | "who" | "bye"} kind */
  #post(kind) {
    this.world.post({ kind, id: this.id, epoch: this.epoch });
  }
}
