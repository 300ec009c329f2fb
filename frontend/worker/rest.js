// The rest of the core: what no first screen needs (frontend/slim/part.mjs). It is brought in once a screen is drawn, and at
// once where one of its functions is called before.
import { compiled } from "./part.js";

// (module (import "a" "b" (func)) (export "f" (func 0))): a table holds functions of WebAssembly only.
const HOOK = Uint8Array.of(0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 2, 7, 1, 1, 97, 1, 98, 0, 0, 7, 5, 1, 1, 102, 0, 0);
const AGAIN = 5_000; // ms
const STILL_MOST = 60_000; // ms that all else may stand still: a core that is given up starts anew, and it is said

/** A Rest belongs to one core, through all its starts. */
export class Rest {
  /**
   * @param {string} url
   * @param {{name?: string, slot?: number, get?: (url: string) => Promise<WebAssembly.Module>, getNow?: (url: string) => BufferSource, later?: (run: () => void, ms: number) => unknown, missing?: (on: boolean) => void}} [how]
   */
  constructor(
    url,
    { name = "rest", slot = 0, get = compiled, getNow = fetchNow, later = (run, ms) => setTimeout(run, ms), missing = () => {} } = {},
  ) {
    this.url = url;
    this.name = name; // of the global of the first part that says that it is in
    this.slot = slot; // of who brings it in
    this.get = get;
    this.getNow = getNow;
    this.later = later;
    this.missing = missing;
    /** @type {() => void} */
    this.arrived = () => {};
    /** @type {Promise<void>} */
    this.arrival = new Promise((resolve) => (this.arrived = resolve));
    /** @type {WebAssembly.Module | null} */
    this.module = null;
    /** @type {any} */
    this.first = null; // what the instance that runs now exports
    this.coming = false;
  }

  /** expect makes a fresh instance of the first part bring the rest in by itself. @param {WebAssembly.Instance} instance */
  expect(instance) {
    this.beside(instance);
    this.first = instance.exports;
  }

  /** beside does the same for an instance that is not the one that runs. @param {WebAssembly.Instance} instance */
  beside(instance) {
    const first = /** @type {any} */ (instance.exports);
    const hook = new WebAssembly.Instance(new WebAssembly.Module(HOOK), { a: { b: () => this.#join(first) } });
    first.table.set(this.slot, hook.exports.f);
  }

  /** bring fetches the rest and joins it to what runs, ahead of need; again after a while where it does not come. */
  async bring() {
    if (this.module || this.coming) return;
    this.coming = true;
    try {
      this.#has(await this.get(this.url));
      if (this.first) this.#join(this.first);
    } catch (err) {
      console.error(`${this.name}.wasm does not load:`, err);
      this.missing(true);
      this.later(() => this.bring(), AGAIN);
    } finally {
      this.coming = false;
    }
  }

  /** whole asks for the rest and resolves once it is here, however long that takes. */
  whole() {
    this.bring();
    return this.arrival;
  }

  /** @param {WebAssembly.Module} module */
  #has(module) {
    this.module ??= module;
    this.missing(false);
    this.arrived();
    return this.module;
  }

  /** @param {any} first */
  #join(first) {
    if (first[this.name].value) return;
    if (!this.module) console.warn(`${this.name}.wasm is called for before it came: all else waits`);
    const module = this.module ?? this.#has(new WebAssembly.Module(this.getNow(this.url)));
    new WebAssembly.Instance(module, { first });
    first[this.name].value = 1;
  }
}

/** fetchNow stops all else until it is there: a function that is called cannot wait. @param {string} url */
function fetchNow(url) {
  const asked = new XMLHttpRequest();
  asked.open("GET", url, false);
  asked.timeout = STILL_MOST;
  asked.responseType = "arraybuffer";
  asked.send();
  if (asked.status !== 200) throw new Error(`${url}: ${asked.status}`);
  return asked.response;
}
