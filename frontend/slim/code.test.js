import assert from "node:assert/strict";
import { test } from "node:test";
import { signed } from "./leb.mjs";
import { slim } from "./slim.mjs";

const header = [0, 0x61, 0x73, 0x6d, 1, 0, 0, 0];
const section = (id, ...bytes) => [id, ...unsigned(bytes.flat().length), ...bytes.flat()];
const unsigned = (n) => (n < 128 ? [n] : [(n % 128) | 128, n >> 7]);

/** A module of two functions of Go's shape, (i32) -> i32, a memory "m" and the stack pointer as a global; "f" is the first. */
function moduleOf(code, locals = [2, 1, 0x7f, 2, 0x7e]) {
  const bodies = [
    [...locals, ...code],
    [0, 0x41, 0, 0x0b],
  ].map((body) => [...unsigned(body.length), ...body]);
  return Uint8Array.from([
    ...header,
    ...section(1, 1, 0x60, 1, 0x7f, 1, 0x7f),
    ...section(3, 2, 0, 0),
    ...section(5, 1, 0, 1),
    ...section(6, 1, 0x7f, 1, 0x41, ...signed(512), 0x0b),
    ...section(7, 2, 1, 0x6d, 2, 0, 1, 0x66, 0, 0),
    ...section(10, 2, ...bodies),
  ]);
}

async function run(wasm, arg = 0) {
  const { instance } = await WebAssembly.instantiate(wasm);
  const result = instance.exports.f(arg);
  return { result, memory: Buffer.from(instance.exports.m.buffer).toString("hex") };
}

async function sameButShorter(code, locals) {
  const old = moduleOf(code, locals);
  const short = slim(old);
  assert.ok(short.length < old.length, `${short.length} bytes of ${old.length}`);
  for (const arg of [0, 1, 7]) assert.deepEqual(await run(short, arg), await run(old, arg), `of ${arg}`);
  return short;
}

const enter = [0x23, 0, 0x21, 1]; // sp = global 0
const slot = (far) => [0x20, 1, 0xad, 0x42, ...signed(far), 0x7c, 0xa7]; // wrap(extend(sp) + far)
const leave = [0x41, 1, 0x0b];

test("a slot of the stack is reached by the load or store itself", async () => {
  const put = [...slot(24), 0x42, 77, 0x37, 3, 8]; // at sp + 24 + 8
  const copy = [...slot(40), ...slot(24), 0x29, 3, 8, 0x37, 3, 0];
  const short = await sameButShorter([...enter, ...put, ...copy, ...leave]);
  assert.ok(!short.includes(0xad), "no address is made wide any more");
  const { memory } = await run(short);
  assert.equal(memory.slice(2 * 552, 2 * 553), "cd", "77 as the signed constant -51 lies 40 bytes above the pointer");
});

test("an address that something else takes stays an address", async () => {
  await sameButShorter([...enter, ...slot(24), 0x0b]); // it is the result
  await sameButShorter([...enter, ...slot(16), 0x42, 5, 0x21, 2, 0x20, 2, 0x37, 3, 0, ...leave]); // the value by way of a local
  await sameButShorter([...enter, ...slot(8), 0x20, 0, 0x04, 0x7e, 0x42, 1, 0x05, 0x42, 2, 0x0b, 0x37, 3, 0, ...leave]); // over a branch
});

test("a condition is compared as it is", async () => {
  await sameButShorter([...enter, 0x20, 0, 0x45, 0xad, 0x50, 0x0b]);
});

/** A call that says where it returns to: F << 16 | block, and the way out where the callee asks for it. */
const call = (address, depth) => [0x20, 1, 0x42, ...signed(address), 0x37, 3, 0, 0x41, 0, 0x10, 1, 0x0d, depth];

test("return addresses are a common base and a block, and the way out says the same everywhere", async () => {
  const F = 4321 * 65536;
  const code = [...enter, 0x02, 0x40, 0x03, 0x40, 0x02, 0x40];
  const tail = [0x20, 1, 0x20, 3, 0x37, 3, 16, 0x41, 0, 0x0f, 0x0b, 0x00, 0x0b];
  code.push(...[call(F + 1, 2), 0x42, 9, 0x21, 3, 0x0b, call(F + 300, 1), tail, leave].flat());
  const old = moduleOf(code);
  const short = slim(old);
  assert.deepEqual(await run(short), await run(old));
  assert.equal(Buffer.from(short).indexOf(Buffer.from([0x0d])), -1, "no branch out is left");
  const base = Buffer.from(signed(F));
  assert.ok(short.includes(base), "the base is said");
  assert.equal(short.indexOf(base), short.lastIndexOf(base), "once");
});

test("a function with an instruction that is not known stays as it is", () => {
  const code = [...enter, ...slot(24), 0x29, 3, 0, 0xfd, 12, ...new Array(16).fill(0), ...leave];
  const old = moduleOf(code);
  assert.deepEqual(Uint8Array.from(slim(old)), old);
});
