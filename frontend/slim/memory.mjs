// The memory image of a Go wasm, written shorter, in two ways that its linker leaves open:
//
// It is written as tens of thousands of data segments, one for every few bytes between zeros; each costs a header that
// does not compress. Here they are joined wherever the gap is short.
//
// It carries the name of every function, and a line and file table for each. They serve only the traces of a crash,
// which nobody reads on a phone: what the page is told is the panic's own sentence. An empty table is one at offset 0
// (runtime/symtab.go: "?" and line 0), an empty name one that begins with a zero. Builds are reproducible, so that a
// trace of addresses can be read with a build of the same commit that was not made smaller. The list of all types goes too: only
// package reflect reads it, which is not linked.
import { readSigned, readUnsigned, signed, unsigned } from "./leb.mjs";

const MAGIC = 0xfffffff1; // of pclntab since Go 1.20
export const FUNC = { name: 4, pcsp: 16, pcfile: 20, pcln: 24, npcdata: 28, unit: 32, line: 36, nfuncdata: 43, pcdata: 44 }; // offsets in runtime._func
const TRACED = { pcdata: [2, 3], funcdata: [3, 5, 6] }; // what was inlined where, which arguments to print
const NONE = 0xffffffff; // a function without such data
const TYPELINKS = 45; // the word of runtime.moduledata that says where the list of types lies; how long it is follows
const GAP = 64; // zeros that are cheaper written out than skipped

/**
 * shortMemory returns the body of a data section that fills the memory as the old one does, but for the traces.
 * @param {Uint8Array} wasm @param {number} at where the section's body starts
 * @param {(memory: Buffer) => void} [cut] takes out what comes later
 */
export function shortMemory(wasm, at, cut) {
  const memory = image(wasm, at);
  dropTraces(memory);
  cut?.(memory);
  return dataOf(memory);
}

/** dataOf is the body of a data section that fills a memory of zeros like this. @param {Buffer} memory */
export const dataOf = (memory) => Buffer.concat(split(memory));

/** segments is the body of a data section. @param {{at: number, bytes: Uint8Array}[]} list */
export const segments = (list) => Buffer.concat([unsigned(list.length), ...list.map(({ at, bytes }) => segment(at, bytes))]);

/** @param {number} at @param {Uint8Array} bytes */
const segment = (at, bytes) => Buffer.concat([Buffer.from([0, 0x41]), signed(at), Buffer.from([0x0b]), unsigned(bytes.length), bytes]);

/**
 * image lays all data segments into the memory that they are written to.
 * @param {Uint8Array} wasm
 * @param {number} at
 */
export function image(wasm, at) {
  const parts = [];
  let top = 0;
  let [count, p] = readUnsigned(wasm, at);
  for (; count > 0; count--) {
    if (wasm[p] !== 0 || wasm[p + 1] !== 0x41) throw new Error("slim: a data segment of a kind that Go does not write");
    const [to, opEnd] = readSigned(wasm, p + 2);
    const [size, begin] = readUnsigned(wasm, opEnd + 1);
    parts.push({ to, bytes: wasm.subarray(begin, begin + size) });
    top = Math.max(top, to + size);
    p = begin + size;
  }
  const memory = Buffer.alloc(top);
  for (const { to, bytes } of parts) memory.set(bytes, to);
  return memory;
}

/**
 * split cuts the memory at long runs of zeros into the fewest segments worth having.
 * @param {Buffer} memory
 */
function split(memory) {
  const list = [];
  for (let at = 0; at < memory.length; ) {
    while (at < memory.length && memory[at] === 0) at++;
    if (at === memory.length) break;
    let end = at + 1;
    for (let zeros = 0; end + zeros < memory.length && zeros < GAP; ) {
      if (memory[end + zeros] === 0) zeros++;
      else {
        end += zeros + 1;
        zeros = 0;
      }
    }
    list.push(segment(at, memory.subarray(at, end)));
    at = end;
  }
  return [unsigned(list.length), ...list];
}

/** dropTraces empties the names, the lines and the files of functions in a memory image. @param {Buffer} memory */
function dropTraces(memory) {
  const head = findTable(memory);
  if (head < 0) return;
  const field = (i) => Number(memory.readBigUInt64LE(head + 8 + 8 * i));
  const [count, names, pctab, funcs] = [field(0), ...[3, 6, 7].map((i) => head + field(i))];
  memory.fill(0, names, pctab);
  dropTypes(memory, findData(memory, head));
  const needed = new Set();
  const lines = new Set();
  for (let i = 0; i < count; i++) {
    const func = funcs + memory.readUInt32LE(funcs + 8 * i + 4);
    const tables = memory.readUInt32LE(func + FUNC.npcdata);
    const data = func + FUNC.pcdata + 4 * tables;
    needed.add(memory.readUInt32LE(func + FUNC.pcsp));
    for (const field of [FUNC.name, FUNC.unit, FUNC.line]) memory.writeUInt32LE(0, func + field);
    const traced = TRACED.pcdata.filter((k) => k < tables).map((k) => func + FUNC.pcdata + 4 * k);
    for (const at of [func + FUNC.pcfile, func + FUNC.pcln, ...traced]) {
      lines.add(memory.readUInt32LE(at));
      memory.writeUInt32LE(0, at);
    }
    for (let k = 0; k < tables; k++) needed.add(memory.readUInt32LE(func + FUNC.pcdata + 4 * k));
    for (const k of TRACED.funcdata) if (k < memory[func + FUNC.nfuncdata]) memory.writeUInt32LE(NONE, data + 4 * k);
  }
  for (const offset of lines) if (offset !== 0 && !needed.has(offset)) memory.fill(0, pctab + offset, tableEnd(memory, pctab + offset));
}

/** @param {Buffer} memory @param {number} data */
function dropTypes(memory, data) {
  if (data < 0 || data + 8 * (TYPELINKS + 2) > memory.length) return;
  const [at, count] = [0, 1].map((i) => Number(memory.readBigUInt64LE(data + 8 * (TYPELINKS + i))));
  if (at + 4 * count <= memory.length) memory.fill(0, at, at + 4 * count);
}

/** findTable looks for the one pclntab of a wasm program: pointers of 8 bytes, instructions of 1. @param {Buffer} memory */
export function findTable(memory) {
  const head = Buffer.from([0, 0, 0, 0, 0, 0, 1, 8]);
  head.writeUInt32LE(MAGIC, 0);
  const at = memory.indexOf(head);
  return at >= 0 && memory.indexOf(head, at + 1) < 0 ? at : -1;
}

/** tableEnd walks one table: pairs of value and pc steps, ended by a zero value that is not the first. */
export function tableEnd(memory, from) {
  for (let at = from, first = true; ; first = false) {
    const [value, afterValue] = readUnsigned(memory, at);
    if (value === 0 && !first) return afterValue;
    at = readUnsigned(memory, afterValue)[1];
  }
}

/** findData finds runtime.moduledata, which is known by pointing to the table first. @param {Buffer} memory @param {number} head of the table */
export function findData(memory, head) {
  const pointer = Buffer.alloc(8);
  pointer.writeBigUInt64LE(BigInt(head));
  for (let at = memory.indexOf(pointer); at >= 0; at = memory.indexOf(pointer, at + 1)) {
    if (at % 8 !== 0) continue;
    const word = (/** @type {number} */ i) => Number(memory.readBigUInt64LE(at + 8 * i));
    const [count, names] = [Number(memory.readBigUInt64LE(head + 8)), head + Number(memory.readBigUInt64LE(head + 8 + 24))];
    if (word(1) === names && word(13) === head + Number(memory.readBigUInt64LE(head + 8 + 56)) && count > 0) return at;
  }
  return -1;
}
