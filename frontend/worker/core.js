// The core is the kitchen's rules as WebAssembly; this file starts it, steps it and starts it again when it broke down.
import "wasm_exec"; // Go's own loader: puts Go on globalThis
import { wake } from "./asleep.js";
import { Broken } from "./broken.js";
import { isEarly, isLate } from "./early.js";
import { fresh, imageOf } from "./image.js";
import { Rest } from "./rest.js";
import { readOutcome } from "./sections.js";

/** @typedef {import("./sections.js").Outcome} Outcome */
/**
 * @typedef {object} Header what happened, as the core reads it
 * @property {"start" | "look" | "close" | "tap" | "opened" | "shut" | "frame" | "tick" | "ability" | "log" | "state" | "night" | "plan" | "planned"} op
 * @property {number} wall
 * @property {number} mono
 * @property {string} [view]
 * @property {string} [path]
 * @property {unknown} [tap]
 * @property {unknown} [ability]
 * @property {string} [device]
 * @property {string} [key]
 * @property {string} [lang]
 * @property {string} [file]
 * @property {boolean} [first]
 * @property {boolean} [last]
 */
/** @typedef {{op: Header["op"], path?: string}} Doing */
/** @typedef {{step: (header: string, blob: Uint8Array | null) => Uint8Array, words: (lang: string) => string}} Door */

/** A Core is one running instance of the rules. */
export class Core {
  /** @param {WebAssembly.Module} module @param {Rest} rest @param {Rest} later */
  constructor(module, rest, later) {
    this.module = module;
    this.rest = rest;
    this.later = later;
    /** @type {Door | null} */
    this.door = null;
    /** @type {{go: Go, instance: WebAssembly.Instance} | null} */
    this.running = null;
    /** @type {Promise<void> | null} */
    this.warming = null;
    /** @type {Promise<import("./image.js").Picture | null> | null} */
    this.picture = null; // for the next start
  }

  /**
   * @param {{first: string, rest: string, later: string}} urls of the core's parts
   * @param {(on: boolean) => void} missing says that one of them does not come
   */
  static async fetch({ first, rest, later }, missing) {
    const answer = await fetch(first);
    if (!answer.ok) throw new Error(`core.wasm: ${answer.status}`);
    const module = await WebAssembly.compileStreaming(answer);
    return new Core(module, new Rest(rest, { missing }), new Rest(later, { name: "later", slot: 1, missing }));
  }

  /** warm brings an instance up ahead of time, for the next start: joining and reading the shelf take a while. */
  warm() {
    this.warming ??= this.#run();
    this.warming.catch(() => {}); // start tries again and tells
  }

  /**
   * start runs a fresh instance; the one before is forgotten with all it held.
   * @param {boolean} [trusting] it may go on from the picture
   * @returns {Promise<boolean>} whether it does
   */
  async start(trusting = false) {
    const [warming, picture] = [this.warming, await this.picture];
    this.warming = this.picture = null;
    if (warming) await warming.catch(() => {});
    if (!warming || !this.door) await this.#run();
    if (!picture) return false;
    const told = trusting && picture.told !== null;
    const laid = told && this.#goOn(picture);
    if (told && !laid) {
      picture.drop();
      await this.#run();
    }
    picture.close();
    return laid;
  }

  /** @param {import("./image.js").Picture} picture */
  #goOn(picture) {
    try {
      if (this.running && picture.lay(this.running.go, this.running.instance)) return true;
      console.warn("the image of the core is not what was written");
    } catch (err) {
      console.warn("the image of the core cannot be used:", err);
    }
    return false;
  }

  async #run() {
    const go = new Go();
    const instance = await WebAssembly.instantiate(this.module, go.importObject);
    this.rest.expect(instance);
    this.later.expect(instance);
    const { door, ended } = wake(go, this.module, instance);
    this.door = door;
    this.running = { go, instance };
    const end = () => {
      if (this.door === door) this.door = null;
    };
    ended.then(end, end);
    if (!door) throw new Broken("the core did not come up");
  }

  /** lacking lists the parts that the core cannot do this without and has not got. @param {Doing} doing */
  #lacking({ op, path = "/" }) {
    const needs = [];
    if (op === "tap" || op === "night" || op === "plan" || (op === "look" && !isEarly(path))) needs.push(this.rest);
    if (op === "night" || op === "plan" || op === "planned" || (op === "look" && isLate(path))) needs.push(this.later);
    return needs.filter(({ module }) => module === null);
  }

  /** lacks tells whether there are such parts. @param {Doing} doing */
  lacks(doing) {
    return this.#lacking(doing).length > 0;
  }

  /** whole resolves once there are none. @param {Doing} doing */
  async whole(doing) {
    await Promise.all(this.#lacking(doing).map((part) => part.whole()));
  }

  /**
   * step tells the core what happened and returns what must follow.
   * @param {Header} header
   * @param {Uint8Array | null} [blob]
   * @returns {Outcome}
   */
  step(header, blob = null) {
    if (!this.door) throw new Broken("the core is not running");
    return ask(this.door, header, blob);
  }

  /**
   * depict makes an image of a core that has read what the shelf holds, beside the one that runs, which gets its turn in between.
   * @param {import("./image.js").Picture} picture
   * @param {Uint8Array} blob of a start
   * @param {{build: string, base: number, entries: number}} of
   */
  async depict(picture, blob, of) {
    const go = new Go();
    const instance = await WebAssembly.instantiate(this.module, go.importObject);
    for (const part of [this.rest, this.later]) part.beside(instance);
    const before = fresh(instance);
    const { door } = wake(go, this.module, instance);
    if (!door) return;
    const clocks = { wall: Date.now(), mono: 1 };
    /** @type {[Header, Uint8Array | null][]} */
    const steps = [
      [{ op: "start", device: "", key: "", lang: "en", ...clocks }, blob],
      [{ op: "look", view: "image", path: "/", lang: "en", ...clocks }, null], // it reads the documents
    ];
    for (const [header, blob] of steps) {
      await turn();
      ask(door, header, blob);
    }
    await turn();
    const told = imageOf(go, instance, before, of);
    if (told) picture.keep(told, instance);
  }

  /**
   * words returns the pages' fixed words in a language.
   * @param {string} lang
   * @returns {Record<string, string>}
   */
  words(lang) {
    return this.door ? JSON.parse(this.door.words(lang)) : {};
  }
}

/** turn lets whatever else waits come first. */
const turn = () => new Promise((resolve) => setTimeout(resolve, 0));

/**
 * ask steps a core.
 * @param {Door} door
 * @param {Header} header
 * @param {Uint8Array | null} blob
 */
function ask(door, header, blob) {
  const chance = hex(crypto.getRandomValues(new Uint8Array(32)));
  /** @type {Uint8Array | undefined} */
  let bytes;
  try {
    bytes = door.step(JSON.stringify({ ...header, chance }), blob);
  } catch (err) {
    throw new Broken(String(err));
  }
  if (!(bytes instanceof Uint8Array)) throw new Broken("the core gave no answer");
  const outcome = readOutcome(bytes);
  if (outcome.fault) throw new Broken(outcome.fault);
  return outcome;
}

/** @param {Uint8Array} bytes */
export function hex(bytes) {
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
