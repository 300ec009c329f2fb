// An image of a core's memory, made when nobody waits for anything, of a core that has read what the shelf holds and has drawn the
// line once. The next start lays it over a fresh core's memory, and that core, given what the shelf holds then, goes on from there if
// it is the same and more (journal.GoOn), or reads everything anew. So an image is never what counts, and holds no key. Where
// anything about it is not as it should be there is none.
//
// It lies in a file of the origin's own, since that can be read right into the memory. What it holds of JavaScript, but for what
// every core has (asleep.js), are leftovers of calls that are over: they get a place with nothing in it, until Go collects them.

const NAME = "core.image";
const PAGE = 4096;
const GAP = 16; // pages that are cheaper read than skipped
const HEAD = 12; // bytes: how long what is told of the image is, a sum of that, and WHOLE; they are written last
const WHOLE = 0x6f6c6177;

// (module (import "a" "m" (memory 0)) (func (export "f") (param $at i32) (param $end i32) (param $sum i64) (result i64)
//   (loop (local.set $sum (i64.mul (i64.xor (local.get $sum) (i64.load (local.get $at))) (i64.const K)))
//         (local.set $sum (i64.xor (local.get $sum) (i64.shr_u (local.get $sum) (i64.const 29))))
//         (br_if 0 (i32.lt_u (local.tee $at (i32.add (local.get $at) (i32.const 8))) (local.get $end))))
//   (local.get $sum))): JavaScript is not warm enough to do it in time.
// biome-ignore format: bytes
const SUM = Uint8Array.of(0, 97, 115, 109, 1, 0, 0, 0, 1, 8, 1, 96, 3, 127, 127, 126, 1, 126, 2, 8, 1, 1, 97, 1, 109, 2, 0, 0, 3, 2, 1, 0, 7, 5, 1, 1, 102, 0, 0, 10, 53, 1, 51, 0, 3, 64, 32, 2, 32, 0, 41, 0, 0, 133, 66, 149, 248, 169, 250, 151, 183, 222, 155, 158, 127, 126, 33, 2, 32, 2, 32, 2, 66, 29, 136, 133, 33, 2, 32, 0, 65, 8, 106, 34, 0, 32, 1, 73, 13, 0, 11, 32, 2, 11);

/**
 * @typedef {object} File what only workers have: a file that is open for them alone
 * @property {(into: Uint8Array | Uint32Array, from: {at: number}) => number} read
 * @property {(bytes: Uint8Array | Uint32Array, to: {at: number}) => number} write
 * @property {(size: number) => void} truncate
 * @property {() => number} getSize
 * @property {() => void} flush
 * @property {() => void} close
 */

/**
 * @typedef {object} Told what is told of an image
 * @property {string} build of the core
 * @property {number} base how long the base was that it has read
 * @property {number} entries how many came after it
 * @property {number} length of the memory
 * @property {[number, number][]} ranges of the memory: where and how long
 * @property {[string, string][]} globals
 * @property {(number | null)[]} counts of references, by their numbers; null: for ever
 * @property {string} sum of the ranges
 */

/** @param {WebAssembly.Instance} instance */
const memoryOf = (instance) => /** @type {WebAssembly.Memory} */ (instance.exports.mem);

/** @param {WebAssembly.Instance} instance */
const bytesOf = (instance) => new Uint8Array(memoryOf(instance).buffer);

/** Go's own globals, not those that say which part is in. @param {WebAssembly.Instance} instance @returns {[string, WebAssembly.Global][]} */
function globalsOf({ exports }) {
  const all = /** @type {[string, WebAssembly.Global][]} */ (/** @type {unknown} */ (Object.entries(exports)));
  return all.filter(([name, it]) => /^g\d+$/.test(name) && it !== exports.rest && it !== exports.later);
}

/** @param {WebAssembly.Memory} memory @param {[number, number][]} ranges */
function sumOf(memory, ranges) {
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(SUM), { a: { m: memory } });
  const add = /** @type {(at: number, end: number, sum: bigint) => bigint} */ (exports.f);
  return String(ranges.reduce((sum, [at, size]) => add(at, at + size, sum), 0x1234567n));
}

/** @param {Uint8Array} text */
const sumOfText = (text) => text.reduce((sum, byte) => Math.imul(sum ^ byte, 0x01000193) >>> 0, 0x811c9dc5);

/** fresh copies the memory of an instance that has not run yet, for imageOf. @param {WebAssembly.Instance} instance */
export const fresh = (instance) => bytesOf(instance).slice();

/**
 * imageOf tells what an image of an instance is that waits to be called; null where it waits for something else too, or has
 * collected garbage: then its first references are not those that every core has.
 * @param {Go} go
 * @param {WebAssembly.Instance} instance
 * @param {Uint8Array<ArrayBuffer>} before what fresh returned
 * @param {{build: string, base: number, entries: number}} of
 * @returns {Told | null}
 */
export function imageOf(go, instance, before, of) {
  if (go._scheduledTimeouts.size > 0 || go._idPool.length > 0) return null;
  const now = bytesOf(instance);
  const ranges = changed(before, now);
  const globals = globalsOf(instance).map(([name, it]) => /** @type {[string, string]} */ ([name, String(it.value)]));
  const counts = go._goRefCounts.map((n) => (Number.isFinite(n) ? n : null));
  return { ...of, length: now.length, ranges, globals, counts, sum: sumOf(memoryOf(instance), ranges) };
}

/** @param {Uint8Array<ArrayBuffer>} before @param {Uint8Array<ArrayBuffer>} now @returns {[number, number][]} */
function changed(before, now) {
  const [a, b] = [before, now].map(({ buffer }) => new Int32Array(buffer));
  /** @type {[number, number][]} */
  const ranges = [];
  for (let at = 0; at < now.length; at += PAGE) {
    let i = at / 4;
    while (i < (at + PAGE) / 4 && b[i] === (i < a.length ? a[i] : 0)) i++;
    if (i === (at + PAGE) / 4) continue;
    const last = ranges.at(-1);
    if (last && at - last[0] - last[1] <= GAP * PAGE) last[1] = at + PAGE - last[0];
    else ranges.push([at, PAGE]);
  }
  return ranges;
}

/** A Picture is the file that an image lies in, held open: no other tab can open it meanwhile. */
export class Picture {
  /** @param {File} file @param {string} build */
  constructor(file, build) {
    this.file = file;
    this.told = read(file, build);
  }

  /** open returns null where there is no such file to be had. @param {string} build of the core */
  static async open(build) {
    try {
      const folder = await navigator.storage.getDirectory();
      const file = /** @type {any} */ (await folder.getFileHandle(NAME, { create: true }));
      return new Picture(await file.createSyncAccessHandle(), build);
    } catch (err) {
      console.warn("no image of the core can be had:", String(err));
      return null;
    }
  }

  /**
   * lay makes an instance that woke up, and was not called yet, what the image shows; it says whether it did. An instance where it did
   * not is spoiled.
   * @param {Go} go
   * @param {WebAssembly.Instance} instance
   */
  lay(go, instance) {
    const told = this.told;
    if (!told) return false;
    const memory = memoryOf(instance);
    const more = told.length - memory.buffer.byteLength;
    if (more > 0) memory.grow(more / 65_536);
    go.mem = new DataView(memory.buffer);
    let from = this.file.getSize() - told.ranges.reduce((sum, [, size]) => sum + size, 0);
    for (const [at, size] of told.ranges) from += this.file.read(new Uint8Array(memory.buffer, at, size), { at: from });
    if (from !== this.file.getSize() || sumOf(memory, told.ranges) !== told.sum) return false;
    const globals = new Map(globalsOf(instance));
    for (const [name, text] of told.globals) {
      const it = /** @type {WebAssembly.Global} */ (globals.get(name));
      it.value = typeof it.value === "bigint" ? BigInt(text) : Number(text);
    }
    while (go._values.length < told.counts.length) {
      const nothing = {};
      go._ids.set(nothing, go._values.length);
      go._values.push(nothing);
    }
    go._goRefCounts = told.counts.map((n) => n ?? Number.POSITIVE_INFINITY);
    return true;
  }

  /** keep writes an image. @param {Told} told @param {WebAssembly.Instance} instance */
  keep(told, instance) {
    this.drop();
    const text = new TextEncoder().encode(JSON.stringify(told));
    let to = HEAD;
    for (const part of [text, ...told.ranges.map(([at, size]) => bytesOf(instance).subarray(at, at + size))])
      to += this.file.write(part, { at: to });
    this.file.flush();
    this.file.write(Uint32Array.of(text.length, sumOfText(text), WHOLE), { at: 0 });
    this.file.flush();
  }

  /** drop leaves nothing of the image. */
  drop() {
    this.told = null;
    this.file.truncate(0);
    this.file.flush();
  }

  close() {
    this.file.close();
  }
}

/** @param {File} file @param {string} build @returns {Told | null} */
function read(file, build) {
  const head = new Uint32Array(3);
  if (file.read(head, { at: 0 }) < HEAD || head[2] !== WHOLE || head[0] > file.getSize() - HEAD) return null;
  const text = new Uint8Array(head[0]);
  file.read(text, { at: HEAD });
  if (sumOfText(text) !== head[1]) return null;
  /** @type {Told} */
  const told = JSON.parse(new TextDecoder().decode(text));
  const sizes = told.ranges.reduce((sum, [, size]) => sum + size, HEAD + head[0]);
  return told.build === build && sizes === file.getSize() ? told : null;
}
