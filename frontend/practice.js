// Practice on this page: a worker of its own with a pretend kitchen, the screens that it draws and the voice that it has. The
// real kitchen goes on beside it, and comes first.

import { Bell } from "./bell.js";
import { workerOf } from "./patience.js";

/** @typedef {import("./worker/sections.js").PracticeAsked} Asked */
/** @typedef {import("./worker/sections.js").PracticeTold} Told */
/** @typedef {import("./bell_plan.js").Ring} Ring */

const SILENT = { now: [], book: [] };

/**
 * @typedef {object} Hands what the page does for it
 * @property {() => void} drawn another screen is there to be painted
 * @property {(why: string) => void} broken
 * @property {() => number} loudness
 * @property {() => boolean} speaks
 */

/** A Practice is one pretend night; closing the page ends it. */
export class Practice {
  /** @param {string} script @param {Hands} hands */
  constructor(script, hands) {
    this.hands = hands;
    /** @type {any} */
    this.screen = null;
    this.path = "";
    this.frame = 0;
    this.fresh = true; // nobody has looked at it yet
    this.runs = false;
    /** @type {Ring} */
    this.ring = SILENT;
    this.voice = new Bell({ changed: () => {}, loudness: hands.loudness, speaks: hands.speaks, pretend: true });
    this.worker = workerOf(script);
    this.worker.onmessage = ({ data }) => this.#hear(data);
    this.worker.onerror = (event) => hands.broken(event.message);
  }

  /** begin opens a night, in the kitchen as it is now. @param {Uint8Array} state of the real core @param {any} command which night @param {string} path @param {string} lang */
  begin(state, command, path, lang) {
    this.voice.unlock();
    this.path = path;
    const asked = /** @type {Asked} */ ({ do: "night", state, tap: command, path, lang });
    this.worker.postMessage(asked, [state.buffer]);
  }

  /** @param {string} path */
  look(path) {
    this.path = path;
    this.#ask({ do: "look", path });
  }

  /** @param {any} command */
  tap(command) {
    this.voice.unlock();
    this.#ask({ do: "tap", path: this.path, tap: command });
  }

  /** hush stops its time and its sounds; why is "bell" when something real rings. @param {string} why */
  hush(why) {
    this.voice.set(SILENT);
    this.#ask({ do: "tap", path: this.path, tap: { do: "practice-stop", reason: why } });
  }

  end() {
    cancelAnimationFrame(this.frame);
    this.voice.set(SILENT);
    this.worker.terminate();
  }

  /** @param {Asked} asked */
  #ask(asked) {
    this.worker.postMessage(asked);
  }

  /** @param {Told} told */
  #hear(told) {
    if (told.tell === "draw") this.#drawn(told.screen);
    else if (told.tell === "broken") this.hands.broken(told.why);
    else if (told.tell === "ring") this.#rings(/** @type {Ring} */ (told.ring));
    else this.#clock(/** @type {import("./bell.js").Clock} */ (told.clock));
  }

  /** Time may run so fast that screens come faster than they can be painted: the last one counts. @param {any} screen */
  #drawn(screen) {
    this.screen = screen;
    this.frame ||= requestAnimationFrame(() => {
      this.frame = 0;
      this.hands.drawn();
    });
  }

  /** @param {Ring} ring */
  #rings(ring) {
    this.ring = ring;
    if (this.runs) this.voice.set(ring);
  }

  /** While time stands, nothing rings. @param {import("./bell.js").Clock} clock */
  #clock(clock) {
    this.runs = clock.pace > 0;
    if (this.runs) this.voice.setClock(clock);
    this.voice.set(this.runs ? this.ring : SILENT);
  }
}
