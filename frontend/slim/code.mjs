// The functions of a Go wasm, written shorter and for a browser to compile sooner. Go's compiler writes some things that it
// does at every call and at every access to its stack longer than they need to be. Three of them are rewritten, each into
// what computes the same:
//
//   a slot of the stack    sp; extend; K; add; wrap; load 0    ->  sp; load K            (a store likewise)
//   the way out            br_if to the outermost block        ->  if; 1; return; end    (that block ends with 1; return)
//   where a call returns   i64.const F<<16|block; store        ->  base; block; add; store, base set once to F<<16
//
// The first leaves a fifth of the instructions out. The other two save nothing before compression: they say the same bytes
// at each of some thirty thousand calls, where a label's depth and a function's number were different each time.
import { readSigned, readUnsigned, signed, unsigned } from "./leb.mjs";

const I32 = 0x7f;
const I64 = 0x7e;
const EMPTY = 0x40; // a block that yields nothing
const OP = /** @type {const} */ ({
  block: 0x02,
  loop: 0x03,
  if: 0x04,
  end: 0x0b,
  br: 0x0c,
  brIf: 0x0d,
  brTable: 0x0e,
  return: 0x0f,
  call: 0x10,
  callIndirect: 0x11,
  localGet: 0x20,
  localSet: 0x21,
  localTee: 0x22,
  globalGet: 0x23,
  globalSet: 0x24,
  firstLoad: 0x28,
  lastLoad: 0x35,
  i64Store: 0x37,
  firstStore: 0x36,
  lastStore: 0x3e,
  memorySize: 0x3f,
  memoryGrow: 0x40,
  i32Const: 0x41,
  i64Const: 0x42,
  f32Const: 0x43,
  f64Const: 0x44,
  i32Eqz: 0x45,
  i64Eqz: 0x50,
  i32Add: 0x6a,
  i64Add: 0x7c,
  wrap: 0xa7,
  extend: 0xad,
  more: 0xfc,
});
const SP = 1; // the local that holds Go's stack pointer; 0 is the block to enter at
const BASE = 2; // where the local is put that holds what all return addresses of a function share
const BLOCKS = 65536; // of one function: cmd/internal/obj/wasm puts the function's number above them
const FEW_CALLS = 2; // fewer are not worth a local

/** @typedef {{op: number, from: number, to: number, n: number, align: number, now: number[] | Buffer | null}} Instruction */

/**
 * shortCode returns the body of a code section whose functions do what the old ones do.
 * @param {Uint8Array} wasm @param {number} at where the section's body starts
 */
export function shortCode(wasm, at) {
  const [count, first] = readUnsigned(wasm, at);
  const out = [unsigned(count)];
  for (let i = 0, start = first; i < count; i++) {
    const [size, body] = readUnsigned(wasm, start);
    const end = body + size;
    const short = shortFunction(wasm, body, end);
    out.push(unsigned(short.length), short);
    start = end;
  }
  return Buffer.concat(out);
}

/** @param {Uint8Array} wasm @param {number} body @param {number} end */
function shortFunction(wasm, body, end) {
  const { groups, code } = localsOf(wasm, body);
  const list = instructions(wasm, code, end);
  if (!list) return Buffer.from(wasm.subarray(body, end));
  shortSlots(list);
  shortConditions(list);
  shortWaysOut(list);
  const base = isGo(groups, list) ? shortReturns(list) : null;
  if (base !== null) groups[1][0]++;
  const head = [unsigned(groups.length), ...groups.map(([n, type]) => Buffer.from([...unsigned(n), type]))];
  if (base !== null) head.push(Buffer.from([OP.i64Const, ...signed(base), OP.localSet, BASE]));
  return Buffer.concat([...head, ...written(wasm, code, end, list)]);
}

/** What a compiled Go function looks like: one argument, the stack pointer after it, then 64-bit registers. */
const isGo = (/** @type {number[][]} */ groups, /** @type {Instruction[]} */ list) =>
  groups.length > 1 &&
  groups[0][0] === 1 &&
  groups[0][1] === I32 &&
  groups[1][1] === I64 &&
  list[0]?.op === OP.globalGet &&
  list[1]?.op === OP.localSet &&
  list[1].n === SP;

/** @param {Uint8Array} wasm @param {number} at */
export function localsOf(wasm, at) {
  let [left, code] = readUnsigned(wasm, at);
  const groups = [];
  for (; left > 0; left--) {
    const [n, type] = readUnsigned(wasm, code);
    groups.push([n, wasm[type]]);
    code = type + 1;
  }
  return { groups, code };
}

/** The instructions of a function, or null where one is unknown. @param {Uint8Array} wasm @param {number} at @param {number} end */
export function instructions(wasm, at, end) {
  /** @type {Instruction[]} */
  const list = [];
  while (at < end) {
    const it = instruction(wasm, at);
    if (!it) return null;
    list.push(it);
    at = it.to;
  }
  return at === end ? list : null;
}

/** @param {Uint8Array} wasm @param {number} from @returns {Instruction | null} */
function instruction(wasm, from) {
  const op = wasm[from];
  let to = from + 1;
  let n = 0;
  let align = 0;
  const number = () => {
    const [value, after] = readUnsigned(wasm, to);
    to = after;
    return value;
  };
  if (op === OP.block || op === OP.loop || op === OP.if || op === OP.memorySize || op === OP.memoryGrow) to++;
  else if (op === OP.br || op === OP.brIf || op === OP.call || (op >= OP.localGet && op <= OP.globalSet)) n = number();
  else if (op === OP.callIndirect) [n, align] = [number(), number()];
  else if (op === OP.brTable) for (let left = number(); left >= 0; left--) number();
  else if (op >= OP.firstLoad && op <= OP.lastStore) [align, n] = [number(), number()];
  else if (op === OP.i32Const || op === OP.i64Const) [n, to] = readSigned(wasm, to);
  else if (op === OP.f32Const) to += 4;
  else if (op === OP.f64Const) to += 8;
  else if (op === OP.more) to += { 8: 2, 9: 1, 10: 2, 11: 1 }[number()] ?? 0;
  else if (op > OP.more || (op > 0xc4 && op < OP.more) || (op > OP.callIndirect && op < 0x1a)) return null;
  return { op, from, to, n, align, now: null };
}

/**
 * shortSlots lets a load or store say itself how far from the stack pointer it reaches. The address that was wrapped to 32
 * bits lies in Go's memory, so that nothing ever wrapped.
 * @param {Instruction[]} list
 */
function shortSlots(list) {
  for (let i = 0; i + 4 < list.length; i++) {
    const [sp, extend, far, add, wrap] = [list[i], list[i + 1], list[i + 2], list[i + 3], list[i + 4]];
    if (sp.op !== OP.localGet || sp.n !== SP || extend.op !== OP.extend || far.op !== OP.i64Const || far.n < 0) continue;
    if (add.op !== OP.i64Add || wrap.op !== OP.wrap) continue;
    const user = userOf(list, i + 5);
    extend.now = far.now = add.now = wrap.now = [];
    if (user) {
      user.n += far.n;
      user.now = [user.op, ...unsigned(user.align), ...unsigned(user.n)];
    } else {
      far.now = [OP.i32Const, ...signed(far.n)];
      add.now = [OP.i32Add];
    }
  }
}

/** A condition is not made wide only to be compared with nothing. @param {Instruction[]} list */
function shortConditions(list) {
  for (let i = 0; i + 1 < list.length; i++) {
    if (list[i].op !== OP.extend || list[i + 1].op !== OP.i64Eqz) continue;
    list[i].now = [];
    list[i + 1].now = [OP.i32Eqz];
  }
}

/**
 * userOf finds the load or store that takes the address now on top of the stack. Nothing where another instruction takes it,
 * or where the way there branches.
 * @param {Instruction[]} list @param {number} i
 */
function userOf(list, i) {
  for (let above = 0; i < list.length; i++) {
    const it = list[i];
    const effect = effectOf(it.op);
    if (!effect) return null;
    const [takes, gives] = effect;
    if (takes > above) {
      const loads = it.op >= OP.firstLoad && it.op <= OP.lastLoad && above === 0;
      const stores = it.op >= OP.firstStore && it.op <= OP.lastStore && above === 1;
      return loads || stores ? it : null;
    }
    above += gives - takes;
  }
  return null;
}

/** How many values an instruction takes from the stack and gives to it; nothing for those that branch. @param {number} op */
function effectOf(op) {
  if (op === OP.localGet || op === OP.globalGet || (op >= OP.i32Const && op <= OP.f64Const)) return [0, 1];
  if (op === OP.localSet || op === OP.globalSet) return [1, 0];
  if (op === OP.localTee || (op >= OP.firstLoad && op <= OP.lastLoad)) return [1, 1];
  if (op >= OP.firstStore && op <= OP.lastStore) return [2, 0];
  if (op === OP.i32Eqz || op === OP.i64Eqz) return [1, 1];
  if (op > OP.i32Eqz && op <= 0x66) return [2, 1]; // comparisons
  if ((op >= 0x67 && op <= 0x69) || (op >= 0x79 && op <= 0x7b)) return [1, 1]; // counting bits
  if (op >= OP.i32Add && op <= 0x8a) return [2, 1]; // whole arithmetic
  if (op >= OP.wrap && op <= 0xc4) return [1, 1]; // conversions
  return null;
}

/** @param {Instruction[]} list */
function shortWaysOut(list) {
  const [blockEnd, one, bodyEnd] = list.slice(-3);
  if (blockEnd?.op !== OP.end || one.op !== OP.i32Const || one.n !== 1 || bodyEnd.op !== OP.end) return;
  let depth = 0;
  for (const it of list) {
    if (it.op === OP.block || it.op === OP.loop || it.op === OP.if) depth++;
    else if (it.op === OP.end) depth--;
    else if (it.op === OP.brIf && it.n === depth - 1) it.now = [OP.if, EMPTY, OP.i32Const, 1, OP.return, OP.end];
  }
}

/**
 * shortReturns writes return addresses as what they have in common, out of a new local, and their block. It returns what
 * they have in common, or null where there is too little of it.
 * @param {Instruction[]} list
 */
function shortReturns(list) {
  const calls = list.filter((it, i) => it.op === OP.i64Const && it.n >= BLOCKS && list[i + 1].op === OP.i64Store && list[i + 1].n === 0);
  const base = Math.floor((calls[0]?.n ?? 0) / BLOCKS) * BLOCKS;
  const ours = calls.filter(({ n }) => n - base >= 0 && n - base < BLOCKS);
  if (ours.length < FEW_CALLS) return null;
  for (const it of ours) it.now = [OP.localGet, BASE, OP.i64Const, ...signed(it.n - base), OP.i64Add];
  for (const it of list) {
    if (it.op >= OP.localGet && it.op <= OP.localTee && it.n >= BASE) it.now = [it.op, ...unsigned(it.n + 1)];
  }
  return base;
}

/** @param {Uint8Array} wasm @param {number} code @param {number} end @param {Instruction[]} list */
function* written(wasm, code, end, list) {
  let from = code;
  for (const { from: start, to, now } of list) {
    if (!now) continue;
    yield wasm.subarray(from, start);
    yield Buffer.from(now);
    from = to;
  }
  yield wasm.subarray(from, end);
}
