// Runs a Go wasm until its program has come up and waits to be called, and writes it down as it is then: its memory becomes
// the module's data, its globals what they begin with. So whoever instantiates it need not run what brought it there: Go's
// runtime and the initialisation of every package were a sixth of a phone's start. worker/asleep.js wakes it.
//
// While it runs here there is no chance and no time in it, so that the same program gives the same bytes. So Go's clock
// stands at the first millisecond of 1970, earlier than that of any phone, and jumps when it wakes; its random numbers, which
// only order maps, are the same on all phones.
import { ENVIRONMENT, SECTION as NAME } from "../worker/asleep.js";
import { constant, readUnsigned, unsigned } from "./leb.mjs";
import { dataOf, image } from "./memory.mjs";
import { named, open, SECTION, section, sections } from "./module.mjs";

const PAGE = 65536;
const OWN = 7; // references that Go's loader has by itself
const TYPES = /** @type {Record<number, number>} */ ({ 127: 0x41, 126: 0x42 }); // i32 and i64, and how a constant of them is written

/**
 * asleep returns the module as it waits. It must export its globals, as a first part does (part.mjs). Its parts are joined to it
 * while it runs: what nobody runs after that may lie in one of them.
 * @param {Buffer} wasm
 * @param {{name: string, wasm: Uint8Array}[]} [parts]
 */
export async function asleep(wasm, parts = []) {
  if (WebAssembly.Module.customSections(new WebAssembly.Module(wasm), NAME).length) throw new Error("slim: it sleeps already");
  const go = new globalThis.Go();
  go.env = ENVIRONMENT;
  /** @type {Map<unknown, number>} */
  const functions = new Map();
  const wrap = go._makeFuncWrapper;
  go._makeFuncWrapper = (/** @type {number} */ id) => {
    const made = wrap.call(go, id);
    functions.set(made, id);
    return made;
  };
  const imports = /** @type {any} */ (go.importObject).gojs;
  imports["runtime.nanotime1"] = (/** @type {number} */ sp) => go.mem.setBigInt64(sp + 8, 1_000_000n, true);
  imports["runtime.getRandomData"] = (/** @type {number} */ sp) => {
    const [at, length] = [8, 16].map((field) => Number(go.mem.getBigInt64(sp + field, true)));
    for (let i = 0; i < length; i++) go.mem.setUint8(at + i, (i * 151 + 97) & 255);
  };
  const { instance } = await WebAssembly.instantiate(wasm, go.importObject);
  const exported = /** @type {any} */ (instance.exports);
  for (const { name, wasm } of parts) {
    new WebAssembly.Instance(new WebAssembly.Module(wasm), { first: exported });
    exported[name].value = 1;
  }
  const before = Buffer.from(exported.mem.buffer.slice());
  go.run(instance);
  for (const { name } of parts) exported[name].value = 0; // whoever wakes it joins them
  if (go.exited || go._scheduledTimeouts.size || go._idPool.length)
    throw new Error("slim: the program does not wait to be called, but ended or waits for time to pass");
  const list = go._values.slice(OWN).map((value) => referred(value, functions, go._values));
  return rewritten(wasm, changed(wasm, before, Buffer.from(exported.mem.buffer)), (i) => BigInt(exported[`g${i}`]?.value ?? 0), list);
}

/**
 * referred describes a value for whoever must make it again.
 * @param {any} value @param {Map<unknown, number>} functions @param {unknown[]} values
 * @returns {import("../worker/asleep.js").Referred}
 */
function referred(value, functions, values) {
  const id = functions.get(value);
  if (id !== undefined) return id;
  if (typeof value === "function" && Reflect.get(globalThis, value.name) === value) return value.name;
  const members = Object.entries(value ?? {}).map(([name, member]) => [name, values.indexOf(member)]);
  if (value?.constructor !== Object || members.some(([, at]) => Number(at) < OWN))
    throw new Error(`slim: the program keeps something of JavaScript that cannot be made again: ${value}`);
  return Object.fromEntries(members);
}

/**
 * changed is the memory that the module fills, with what the program has changed since. What a start function writes (start.mjs) it
 * writes again.
 * @param {Buffer} wasm @param {Buffer} before the program ran @param {Buffer} after
 */
function changed(wasm, before, after) {
  const memory = Buffer.alloc(after.length);
  memory.set(image(wasm, sections(wasm).find(({ id }) => id === SECTION.data)?.start ?? 0));
  for (let i = 0; i < after.length; i++) {
    if (after[i] === (before[i] ?? 0)) continue;
    if (memory[i] !== (before[i] ?? 0)) throw new Error(`slim: the program changes what its start function wrote, at ${i}`);
    memory[i] = after[i];
  }
  return memory;
}

/**
 * @param {Buffer} wasm @param {Buffer} memory @param {(i: number) => bigint} global
 * @param {import("../worker/asleep.js").Referred[]} list
 */
function rewritten(wasm, memory, global, list) {
  const { globals } = open(wasm);
  const out = [Buffer.from(wasm.subarray(0, 8))];
  for (const { id, start, end } of sections(wasm)) {
    const body = wasm.subarray(start, end);
    if (id === SECTION.memory)
      out.push(section(id, Buffer.concat([body.subarray(0, 2), unsigned(memory.length / PAGE), body.subarray(readUnsigned(body, 2)[1])])));
    else if (id === SECTION.global) {
      const all = globals.map(({ type, mutable }, i) => Buffer.from([type, mutable, TYPES[type], ...constant(global(i)), 0x0b]));
      out.push(section(id, Buffer.concat([unsigned(all.length), ...all])));
    } else out.push(section(id, id === SECTION.data ? dataOf(memory) : body));
  }
  out.push(section(SECTION.custom, Buffer.concat([named(NAME), Buffer.from(JSON.stringify(list))])));
  return Buffer.concat(out);
}
