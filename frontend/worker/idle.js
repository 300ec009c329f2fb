// What a worker does when nobody waits, so that its next start is short: it has an image made of a core that has read the shelf
// (image.js), and has one rehearse.
//
// To rehearse is for browsers that keep a module's machine code beside the module. Chromium does so where the service worker brings
// it, once it has found a megabyte of it worth making better (V8's wasm_caching_hard_threshold); from then on no start compiles what
// it runs, which was a third of its time. A phone that shows little gets there late or, put away before, never. So each new version
// draws its first screens for nobody, once, until it has surely been enough. Where nothing is kept nothing is lost but some seconds
// of computing.
import { Picture } from "./image.js";
import { writeStored } from "./sections.js";
import { MemoryShelf } from "./shelf.js";
import { Spare } from "./spare.js";

/** @typedef {Pick<import("./core.js").Core, "module" | "rest" | "later">} Parts */
/** @typedef {import("./shelf.js").Shelf} Shelf */

const IMAGE_EVERY = 600_000; // ms
const IMAGE_BEHIND = 128; // entries that a start may have to fold after its image

const ENOUGH = 3 << 20; // bytes of screens: three times what it took a kitchen with eight batches
const SCREENS = ["/", "/hold", "/lists", "/wall"];
const LANGUAGES = ["en", "es"];
const SLICE = 4; // ms of drawing at once, or one screen: a tap must not wait
const PAUSE = 40; // ms between
const QUIET = 3_000; // ms since anybody touched this device
const AGAIN = 30 * 86_400_000; // ms: what a browser keeps it may throw away

const wait = (/** @type {number} */ ms) => new Promise((resolve) => setTimeout(resolve, ms));

/**
 * rehearse draws screens until it has been enough. It returns false where it was broken off.
 * @param {Pick<Spare, "draw">} spare
 * @param {{going: () => boolean, quiet: () => boolean, enough?: number, pause?: (ms: number) => Promise<unknown>}} when
 */
export async function rehearse(spare, { going, quiet, enough = ENOUGH, pause = wait }) {
  for (let [drawn, i] = [0, 0]; drawn < enough; ) {
    await pause(quiet() ? PAUSE : QUIET);
    if (!going()) return false;
    if (!quiet()) continue;
    const until = performance.now() + SLICE;
    do {
      drawn += spare.draw(SCREENS[i % SCREENS.length], LANGUAGES[Math.floor(i / SCREENS.length) % LANGUAGES.length]);
      i++;
    } while (performance.now() < until);
  }
  return true;
}

/** Idle makes images one after the other, and rehearses meanwhile. */
export class Idle {
  /**
   * @param {string} build of the core
   * @param {{core: () => Promise<Parts | null>, shelf: () => Pick<Shelf, "load" | "rehearsed" | "noteRehearsal"> | MemoryShelf | null, touched: () => number, cached: () => boolean}} hands the whole core, or
   *   null while there is no kitchen; the shelf, while this tab owns it; when somebody last touched the page (performance.now); whether the
   *   core came from where its machine code is kept
   * @param {number} [enough] bytes of screens that a rehearsal draws
   */
  constructor(build, hands, enough = ENOUGH) {
    this.build = build;
    this.hands = hands;
    this.enough = enough;
    this.imagedAt = Number.NEGATIVE_INFINITY;
    this.work = Promise.resolve();
    this.rehearsal = 0;
  }

  /** depict makes an image of what is on the shelf by now, where there is none or an old one. */
  depict() {
    return this.#after("no image of the core", () => this.#depict()); // the next start takes a little longer
  }

  /** forget leaves nothing of what an image may hold. */
  forget() {
    this.rehearsal++;
    return this.#after("the image of the core stays", async () => {
      const image = await Picture.open(this.build);
      image?.drop();
      image?.close();
    });
  }

  /** @param {string} trouble what to say where it fails @param {() => Promise<void>} work */
  #after(trouble, work) {
    this.work = this.work.then(work).catch((err) => console.warn(`${trouble}:`, err));
    return this.work;
  }

  /** shelf is where there is something to read that outlives this page. */
  #shelf() {
    const shelf = this.hands.shelf();
    return shelf instanceof MemoryShelf ? null : shelf;
  }

  async #depict() {
    const now = performance.now();
    const core = await this.hands.core();
    const shelf = this.#shelf();
    if (!core || !shelf || now - this.imagedAt < IMAGE_EVERY) return;
    this.imagedAt = now;
    const image = await Picture.open(this.build);
    try {
      const held = await shelf.load();
      const of = { build: this.build, base: held.base?.length ?? 0, entries: held.tail.length };
      const old = image?.told;
      const due = old?.base !== of.base || Math.abs(of.entries - old.entries) >= IMAGE_BEHIND;
      if (image && due) (await Spare.open(core, writeStored(held))).depict(image, of);
    } finally {
      image?.close();
    }
  }

  /** starter is a spare core that came up as starts do: what it need not run for that, the browser need not keep. @param {Parts} core @param {Uint8Array} blob */
  async #starter(core, blob) {
    const image = await Picture.open(this.build);
    try {
      return await Spare.open(core, blob, image);
    } finally {
      image?.close();
    }
  }

  /** rehearse has the first screens drawn for nobody, once for each build. */
  async rehearse() {
    const mine = ++this.rehearsal;
    try {
      const core = await this.hands.core();
      const shelf = this.#shelf();
      if (!core || !shelf || !this.hands.cached()) return;
      const last = await shelf.rehearsed();
      const age = Date.now() - last.at;
      if (last.build === this.build && age >= 0 && age < AGAIN) return;
      const spare = await this.#starter(core, writeStored(await shelf.load()));
      const going = () => this.rehearsal === mine && this.hands.shelf() === shelf;
      const quiet = () => performance.now() - this.hands.touched() > QUIET;
      if (await rehearse(spare, { going, quiet, enough: this.enough })) await shelf.noteRehearsal({ build: this.build, at: Date.now() });
    } catch (err) {
      console.warn("no rehearsal:", err);
    }
  }
}
