// What Go's runtime must know of a function while it runs: how large its frame is, where pointers lie in it. It is a fifth of the
// memory image. What only functions of the rest need goes with the rest: a function that is not in yet is on no stack.
import { FUNC, findData, findTable, tableEnd } from "./memory.mjs";

const DATA = { args: 0, locals: 1, objects: 2 }; // which of a function's funcdata are read here: runtime/funcdata.h
const OBJECT = 16; // bytes of a runtime.stackObjectRecord
const NEAR = 8; // bytes that are cheaper written twice than skipped
const NONE = 0xffffffff;
const GOFUNC = 40; // the word of runtime.moduledata that says where funcdata begin

/**
 * lateTables cuts out of a memory image what only functions of one of the later parts need, and returns it for each part.
 * @param {Buffer} memory
 * @param {Set<number | undefined>[]} parts which functions lie in a part, by their slots in the table
 * @returns {{at: number, bytes: Buffer}[][]}
 */
export function lateTables(memory, parts) {
  const head = findTable(memory);
  const data = head < 0 ? -1 : findData(memory, head);
  if (data < 0) return parts.map(() => []);
  const gofunc = Number(memory.readBigUInt64LE(data + 8 * GOFUNC));
  const field = (/** @type {number} */ i) => Number(memory.readBigUInt64LE(head + 8 + 8 * i));
  const [count, pctab, funcs] = [field(0), head + field(6), head + field(7)];
  const is = new Uint8Array(memory.length); // one bit for each part, and the first one for what is in none
  const bit = (/** @type {number} */ part) => 1 << (part + 1);
  const first = bit(-1);
  const mark = (/** @type {number} */ from, /** @type {number} */ to, /** @type {number} */ who) => {
    for (let at = from; at < to; at++) is[at] |= who;
  };
  for (let i = 0; i < count; i++) {
    const slot = memory.readUInt32LE(funcs + 8 * i); // in a wasm, a function's place is its slot
    const who = bit(parts.findIndex((part) => part.has(slot)));
    const func = funcs + memory.readUInt32LE(funcs + 8 * i + 4);
    const tables = memory.readUInt32LE(func + FUNC.npcdata);
    const refs = func + FUNC.pcdata + 4 * tables;
    const datas = memory[func + FUNC.nfuncdata];
    mark(func, refs + 4 * datas, who);
    for (const at of [func + FUNC.pcsp, ...Array.from({ length: tables }, (_, k) => func + FUNC.pcdata + 4 * k)]) {
      const offset = memory.readUInt32LE(at);
      if (offset !== 0) mark(pctab + offset, tableEnd(memory, pctab + offset), who);
    }
    for (const [k, size] of [
      [DATA.args, mapSize],
      [DATA.locals, mapSize],
      [DATA.objects, objectsSize],
    ]) {
      const offset = k < datas ? memory.readUInt32LE(refs + 4 * k) : NONE;
      if (offset !== NONE) mark(gofunc + offset, gofunc + offset + size(memory, gofunc + offset), who);
    }
    for (let k = DATA.objects + 1; k < datas && who === first; k++) {
      const offset = memory.readUInt32LE(refs + 4 * k);
      if (offset !== NONE) mark(gofunc + offset, gofunc + offset + 16, who); // of a size that is not known here: not cut into
    }
  }
  const before = Buffer.from(memory);
  return parts.map((_, i) => cut(memory, before, is, bit(i)));
}

/**
 * cut takes out all runs of bytes that one part alone needs. Runs that lie close together become one: what is between them is
 * written again as it is.
 * @param {Buffer} memory @param {Buffer} before @param {Uint8Array} is @param {number} who
 */
function cut(memory, before, is, who) {
  /** @type {{from: number, to: number}[]} */
  const list = [];
  for (let at = is.indexOf(who); at >= 0; at = is.indexOf(who, at)) {
    const from = at;
    while (at < is.length && is[at] === who) at++;
    memory.fill(0, from, at);
    const last = list.at(-1);
    if (last && from - last.to <= NEAR) last.to = at;
    else list.push({ from, to: at });
  }
  return list.map(({ from, to }) => ({ at: from, bytes: before.subarray(from, to) }));
}

/** A runtime.stackmap: how many maps, how many bits each. @param {Buffer} memory @param {number} at */
const mapSize = (memory, at) => 8 + memory.readInt32LE(at) * Math.ceil(memory.readInt32LE(at + 4) / 8);

/** @param {Buffer} memory @param {number} at */
const objectsSize = (memory, at) => 8 + Number(memory.readBigUInt64LE(at)) * OBJECT;
