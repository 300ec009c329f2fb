// Takes a WebAssembly module apart as far as parting it needs, and puts sections together.
import { readUnsigned, unsigned } from "./leb.mjs";

export const SECTION = /** @type {const} */ ({
  custom: 0,
  type: 1,
  import: 2,
  function: 3,
  table: 4,
  memory: 5,
  global: 6,
  export: 7,
  start: 8,
  element: 9,
  code: 10,
  data: 11,
});

export const NOTHING = ">"; // the type of a function that takes and gives nothing

/** @typedef {{id: number, start: number, end: number}} Section */
/** @typedef {{types: string[], typeOf: number[], imports: number, slots: Map<number, number>, globals: {type: number, mutable: number}[], bodies: {start: number, end: number}[], names: Map<number, string>}} Module */

/** @param {Uint8Array} wasm @returns {Section[]} */
export function sections(wasm) {
  const list = [];
  for (let at = 8; at < wasm.length; ) {
    const [size, start] = readUnsigned(wasm, at + 1);
    list.push({ id: wasm[at], start, end: start + size });
    at = start + size;
  }
  return list;
}

/** @param {number} id @param {Uint8Array | number[]} body */
export const section = (id, body) => Buffer.concat([Buffer.from([id]), unsigned(body.length), Buffer.from(body)]);

/** @param {Uint8Array} body */
export const sized = (body) => Buffer.concat([unsigned(body.length), body]);

/** A vector with some elements more. @param {Uint8Array} body @param {Buffer[]} list */
export function more(body, list) {
  const [count, first] = readUnsigned(body, 0);
  return Buffer.concat([unsigned(count + list.length), body.subarray(first), ...list]);
}

/** @param {string} text */
export const named = (text) => Buffer.concat([unsigned(Buffer.byteLength(text)), Buffer.from(text)]);

/**
 * open reads what parting needs: types by their bytes, the type of every function (imported ones first), which slot of the table
 * a function lies in, globals, where bodies lie, and names.
 * @param {Uint8Array} wasm
 * @returns {Module}
 */
export function open(wasm) {
  /** @type {Module} */
  const it = { types: [], typeOf: [], imports: 0, slots: new Map(), globals: [], bodies: [], names: new Map() };
  for (const part of sections(wasm)) READERS[part.id]?.(it, reader(wasm, part.start), part.end, wasm);
  return it;
}

/** @param {Uint8Array} wasm @param {number} at */
function reader(wasm, at) {
  return {
    get at() {
      return at;
    },
    number() {
      const [value, after] = readUnsigned(wasm, at);
      at = after;
      return value;
    },
    byte: () => wasm[at++],
    /** @param {number} n */
    bytes(n) {
      at += n;
      return wasm.subarray(at - n, at);
    },
    text() {
      return Buffer.from(this.bytes(this.number())).toString();
    },
  };
}

/** @type {Record<number, (it: Module, read: ReturnType<typeof reader>, end: number, wasm: Uint8Array) => void>} */
const READERS = {
  [SECTION.type](it, read) {
    for (let n = read.number(); n > 0; n--) {
      read.byte();
      const takes = Buffer.from(read.bytes(read.number())).toString("hex");
      it.types.push(`${takes}>${Buffer.from(read.bytes(read.number())).toString("hex")}`);
    }
  },
  [SECTION.import](it, read) {
    for (let n = read.number(); n > 0; n--) {
      read.text();
      read.text();
      if (read.byte() !== 0) throw new Error("slim: Go imports nothing but functions");
      it.typeOf.push(read.number());
      it.imports++;
    }
  },
  [SECTION.function](it, read) {
    for (let n = read.number(); n > 0; n--) it.typeOf.push(read.number());
  },
  [SECTION.global](it, read, end) {
    for (let n = read.number(); n > 0; n--) {
      it.globals.push({ type: read.byte(), mutable: read.byte() });
      while (read.byte() !== 0x0b) if (read.at > end) throw new Error("slim: a global without an end");
    }
  },
  [SECTION.element](it, read) {
    for (let n = read.number(); n > 0; n--) {
      if (read.number() !== 0 || read.byte() !== 0x41) throw new Error("slim: a table that Go does not write");
      const first = read.number();
      read.byte();
      const count = read.number();
      for (let i = 0; i < count; i++) it.slots.set(read.number(), first + i);
    }
  },
  [SECTION.code](it, read) {
    for (let n = read.number(); n > 0; n--) {
      const size = read.number();
      it.bodies.push({ start: read.at, end: read.at + size });
      read.bytes(size);
    }
  },
  [SECTION.custom](it, read, end) {
    if (read.text() !== "name") return;
    while (read.at < end) {
      const kind = read.byte();
      const size = read.number();
      if (kind !== 1) read.bytes(size);
      else for (let n = read.number(); n > 0; n--) it.names.set(read.number(), read.text());
    }
  },
};
