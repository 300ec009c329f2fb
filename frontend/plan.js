// The plan on this page: a worker of its own that thinks about it while somebody looks at the plan, or works by one. What it comes
// to goes to the core, which draws it and decides what of it may be kept.
import { workerOf } from "./patience.js";

/** @typedef {import("./worker/sections.js").PlanAsked} Asked */
/** @typedef {import("./worker/sections.js").PlanTold} Told */
/** @typedef {{key: string, tap: any}} Wish what a screen wants to be thought about */

/**
 * @typedef {object} Hands what the page does for it
 * @property {() => Promise<Uint8Array | null>} state the bytes of the core's state
 * @property {(bytes: Uint8Array) => void} planned
 */

const IDLE = 60_000; // ms without a wish: then the worker's memory is given back
const TRIES = 3;

/** A Planner thinks about one wish at a time: the last one. */
export class Planner {
  /** @param {string} script @param {string} lang @param {Hands} hands */
  constructor(script, lang, hands) {
    this.script = script;
    this.lang = lang;
    this.hands = hands;
    /** @type {Worker | null} */
    this.worker = null;
    /** @type {Wish | null} */
    this.wish = null; // what is thought about
    this.thinks = false;
    this.broke = 0;
    this.idle = /** @type {ReturnType<typeof setTimeout> | undefined} */ (undefined);
    this.took = 0; // ms from asking to the first plan, for tests
    this.came = 0; // how many plans came
  }

  /** want thinks about what a screen wants; about nothing when it wants nothing. @param {Wish | null} wish */
  async want(wish) {
    if (!wish) return this.rest();
    clearTimeout(this.idle);
    const was = this.wish;
    if (was && was.key === wish.key && same(was.tap, wish.tap)) return;
    this.wish = wish;
    if (was && was.key === wish.key && this.worker) return this.#ask({ do: "change", tap: wish.tap });
    const asked = performance.now();
    const state = await this.hands.state();
    if (this.wish !== wish) return; // something newer came meanwhile
    if (!state) {
      this.wish = null; // asked for again with the next screen
      return;
    }
    this.began = asked;
    this.first = true;
    this.#ask({ do: "plan", state, tap: wish.tap, lang: this.lang }, [state.buffer]);
  }

  /** rest stops thinking. */
  rest() {
    if (!this.wish && !this.worker) return;
    if (this.thinks) this.worker?.postMessage({ do: "rest" });
    this.thinks = false;
    this.wish = null;
    clearTimeout(this.idle);
    this.idle = setTimeout(() => this.end(), IDLE);
  }

  end() {
    this.worker?.terminate();
    this.worker = null;
    this.wish = null;
    this.thinks = false;
  }

  /** @param {Asked} asked @param {Transferable[]} [hand] */
  #ask(asked, hand = []) {
    if (!this.worker) {
      this.worker = workerOf(this.script);
      this.worker.onmessage = ({ data }) => this.#hear(data);
      this.worker.onerror = (event) => this.#hear({ tell: "broken", why: event.message });
    }
    this.thinks = true;
    this.worker.postMessage(asked, hand);
  }

  /** @param {Told} told */
  #hear(told) {
    if (told.tell === "rests") this.thinks = false;
    else if (told.tell === "broken") this.#broken(told.why);
    else {
      if (this.first) this.took = performance.now() - (this.began ?? 0);
      this.first = false;
      this.came++;
      if (this.wish) this.hands.planned(told.bytes);
    }
  }

  /** A planner that broke down begins anew with the next wish, but not for ever. @param {string} why */
  #broken(why) {
    console.error("planner:", why);
    const { wish } = this;
    this.end();
    if (wish && ++this.broke < TRIES) this.want(wish);
  }
}

/** same tells whether two wishes ask alike: the time of a wish alone is no reason to think again. @param {any} a @param {any} b */
const same = (a, b) => JSON.stringify({ ...a, value: 0 }) === JSON.stringify({ ...b, value: 0 });
