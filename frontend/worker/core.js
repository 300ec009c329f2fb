// The core is the kitchen's rules as WebAssembly; this file starts it, steps it and starts it again when it broke down.
import "wasm_exec"; // Go's own loader: puts Go on globalThis
import { wake } from "./asleep.js";
import { Broken } from "./broken.js";
import { ask } from "./door.js";
import { isEarly, isLate } from "./early.js";
import { compiled } from "./part.js";
import { Rest } from "./rest.js";

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
/** @typedef {import("./door.js").Door} Door */

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
    this.laid = false; // what runs goes on from an image
  }

  /**
   * @param {{first: string, rest: string, later: string}} urls of the core's parts
   * @param {(on: boolean) => void} missing says that one of them does not come
   */
  static async fetch({ first, rest, later }, missing) {
    const module = await compiled(first);
    return new Core(module, new Rest(rest, { missing }), new Rest(later, { name: "later", slot: 1, missing }));
  }

  /**
   * warm brings an instance up ahead of time, for the next start that trusts it: joining and reading the shelf take a while. It goes
   * on from the image, if there is one of use, and closes it.
   * @param {Promise<import("./image.js").Picture | null>} opening
   */
  warm(opening) {
    this.warming ??= this.#warm(opening);
    const close = async () => (await opening)?.close();
    this.warming.then(close, close); // where it failed, start tries again and tells
  }

  /** @param {Promise<import("./image.js").Picture | null>} opening */
  async #warm(opening) {
    await this.#run();
    const picture = await opening;
    if (!picture?.told) return;
    this.laid = this.#goOn(picture);
    if (this.laid) return;
    picture.drop();
    await this.#run();
  }

  /**
   * start makes sure of an instance that has read nothing but an image; what ran before is forgotten with all it held.
   * @param {boolean} [trusting] it may be one that is warm
   * @returns {Promise<boolean>} whether it goes on from an image
   */
  async start(trusting = false) {
    const warming = this.warming;
    this.warming = null;
    if (warming) await warming.catch(() => {});
    if (!warming || !this.door || (this.laid && !trusting)) await this.#run();
    return this.laid;
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
    this.laid = false;
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
   * words returns the pages' fixed words in a language.
   * @param {string} lang
   * @returns {Record<string, string>}
   */
  words(lang) {
    return this.door ? JSON.parse(this.door.words(lang)) : {};
  }
}
