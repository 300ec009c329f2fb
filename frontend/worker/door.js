// The door of a core: what an instance of the rules can be asked from outside.
import { Broken } from "./broken.js";
import { readOutcome } from "./sections.js";

/** @typedef {import("./core.js").Header} Header */
/** @typedef {{step: (header: string, blob: Uint8Array | null) => Uint8Array, words: (lang: string) => string}} Door */

/**
 * ask steps an instance of the core.
 * @param {Door} door
 * @param {Header} header
 * @param {Uint8Array | null} [blob]
 */
export function ask(door, header, blob = null) {
  const outcome = readOutcome(answerOf(door, header, blob));
  if (outcome.fault) throw new Broken(outcome.fault);
  return outcome;
}

/**
 * answerOf returns the sections that an instance answers.
 * @param {Door} door
 * @param {Header} header
 * @param {Uint8Array | null} [blob]
 */
export function answerOf(door, header, blob = null) {
  const chance = hex(crypto.getRandomValues(new Uint8Array(32)));
  /** @type {unknown} */
  let bytes;
  try {
    bytes = door.step(JSON.stringify({ ...header, chance }), blob);
  } catch (err) {
    throw new Broken(String(err));
  }
  if (!(bytes instanceof Uint8Array)) throw new Broken("the core gave no answer");
  return bytes;
}

/** @param {Uint8Array} bytes */
export function hex(bytes) {
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
