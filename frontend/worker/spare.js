// A spare core runs beside the one that owns the kitchen's entries. It has read what the shelf holds and drawn the line once, and is
// used for what is done when nobody waits (idle.js).
import { wake } from "./asleep.js";
import { answerOf, ask } from "./door.js";
import { fresh, imageOf } from "./image.js";

const VIEW = "spare";
const BORN = 1; // ms: who goes on from its image has a clock of his own, which begins at nothing

/** turn lets whatever else waits come first. */
const turn = () => new Promise((resolve) => setTimeout(resolve, 0));

export class Spare {
  /**
   * open gives the core that runs its turn in between.
   * @param {Pick<import("./core.js").Core, "module" | "rest" | "later">} core
   * @param {Uint8Array} blob what the shelf holds, as a start reads it
   * @param {import("./image.js").Picture | null} [picture] what it may go on from, as a start does
   */
  static async open(core, blob, picture = null) {
    const go = new Go();
    const instance = await WebAssembly.instantiate(core.module, go.importObject);
    for (const part of [core.rest, core.later]) part.beside(instance);
    const before = fresh(instance);
    const { door } = wake(go, core.module, instance);
    if (!door) throw new Error("a spare core did not come up");
    if (picture?.told && !picture.lay(go, instance)) throw new Error("the image is not what was written");
    await turn();
    ask(door, { op: "start", device: "", key: "", lang: "en", wall: Date.now(), mono: BORN }, blob);
    await turn();
    ask(door, { op: "look", view: VIEW, path: "/", lang: "en", wall: Date.now(), mono: BORN }); // it reads the documents
    await turn();
    return new Spare(go, instance, door, before);
  }

  /** @param {Go} go @param {WebAssembly.Instance} instance @param {import("./door.js").Door} door @param {Uint8Array<ArrayBuffer>} before */
  constructor(go, instance, door, before) {
    this.go = go;
    this.instance = instance;
    this.door = door;
    this.before = before;
    this.came = performance.now();
  }

  /**
   * depict writes an image of it as it came up; it must not have drawn since.
   * @param {import("./image.js").Picture} picture
   * @param {{build: string, base: number, entries: number}} of
   */
  depict(picture, of) {
    const told = imageOf(this.go, this.instance, this.before, of);
    if (told) picture.keep(told, this.instance);
  }

  /**
   * draw draws a screen for nobody and returns how many bytes it came to.
   * @param {string} path
   * @param {string} lang
   */
  draw(path, lang) {
    const mono = BORN + Math.floor(performance.now() - this.came);
    return answerOf(this.door, { op: "look", view: VIEW, path, lang, wall: Date.now(), mono }).length;
  }
}
