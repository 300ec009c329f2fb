import assert from "node:assert/strict";
import { test } from "node:test";
import { signed, unsigned } from "./leb.mjs";
import { segments } from "./memory.mjs";
import { named, SECTION, section } from "./module.mjs";
import { slim } from "./slim.mjs";
import { takeTables } from "./start.mjs";

// A memory image as Go's linker writes it, as far as its two tables go: three functions, whose places begin at FIRST.
const MODULE = 64;
const HEAD = 1024;
const AT = { names: 72, units: 80, files: 88, pctab: 96, funcs: 160 }; // from HEAD
const BUCKETS = 8192;
const FIRST = 4096;
const NONE = 0xffffffff;

/** imageOf lays out functions by what is known of them: [args, pcsp, pcdata, funcdata]; nothing of one that comes later. */
function imageOf(...functions) {
  const memory = Buffer.alloc(BUCKETS + 20 * 16 * functions.length);
  const word = (i, value) => memory.writeBigUInt64LE(BigInt(value), MODULE + 8 * i);
  word(0, HEAD);
  word(1, HEAD + AT.names);
  word(13, HEAD + AT.funcs);
  word(19, BUCKETS);
  word(20, FIRST * 65536);
  word(21, (FIRST + functions.length - 1) * 65536 + 4);
  memory.writeUInt32LE(0xfffffff1, HEAD);
  memory.set([0, 0, 1, 8], HEAD + 4);
  for (const [i, value] of [functions.length, 1, 0, ...Object.values(AT)].entries())
    memory.writeBigUInt64LE(BigInt(value), HEAD + 8 + 8 * i);
  const pairs = HEAD + AT.funcs;
  let at = 8 * functions.length + 8;
  for (const [i, known] of functions.entries()) {
    memory.writeUInt32LE(FIRST + i, pairs + 8 * i);
    memory.writeUInt32LE(at, pairs + 8 * i + 4);
    at = at + 64 + 8 * i;
    if (known) write(memory, pairs + at - 64 - 8 * i, FIRST + i, known);
  }
  memory.writeUInt32LE(FIRST + functions.length, pairs + 8 * functions.length);
  for (let i = 0; i <= 16 * (functions.length - 1); i++) memory.writeUInt32LE(i >> 4, BUCKETS + 20 * i);
  return memory;
}

/** Writes a runtime._func. */
function write(memory, at, place, [args, pcsp, pcdata, funcdata]) {
  memory.writeUInt32LE(place, at);
  memory.writeUInt32LE(args, at + 8);
  memory.writeUInt32LE(pcsp, at + 16);
  memory.writeUInt32LE(pcdata.length, at + 28);
  memory[at + 40] = args % 7;
  memory[at + 43] = funcdata.length;
  for (const [k, value] of [...pcdata, ...funcdata].entries()) memory.writeUInt32LE(value, at + 44 + 4 * k);
}

/** A module of one function of Go's shape whose memory begins as this image. */
function moduleOf(memory, ...more) {
  const vector = (...list) => [...unsigned(list.length), ...list.flatMap((one) => [...one])];
  const body = [2, 1, 0x7f, 1, 0x7e, 0x23, 0, 0x21, 1, 0x20, 0, 0x0b];
  return Buffer.concat([
    Buffer.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]),
    section(SECTION.type, vector([0x60, 1, 0x7f, 1, 0x7f], [0x60, 0, 0])),
    section(SECTION.function, vector([0])),
    section(SECTION.table, vector([0x70, 0, 8])),
    section(SECTION.memory, vector([0, 1])),
    section(SECTION.global, vector([0x7f, 1, 0x41, ...signed(512), 0x0b])),
    section(SECTION.export, vector([...named("m"), 2, 0], [...named("run"), 0, 0])),
    ...more,
    section(SECTION.element, vector([0, 0x41, 1, 0x0b, ...vector([0])])),
    section(SECTION.code, vector([body.length, ...body])),
    section(SECTION.data, segments([{ at: 0, bytes: memory }])),
  ]);
}

async function memoryOf(wasm, size) {
  const { instance } = await WebAssembly.instantiate(wasm);
  assert.equal(instance.exports.run(41), 41);
  return Buffer.from(instance.exports.m.buffer).subarray(0, size);
}

const functions = [[8, 3, [1, 700], [NONE, 96, 5]], [24, 1, [], []], null, [300, 11, [4], [16]]];

test("a module writes the tables that it does not bring, and nothing else", async () => {
  const memory = imageOf(...functions);
  const small = slim(moduleOf(memory));
  assert.ok(small.includes(section(SECTION.start, [1])), "a second function begins");
  assert.deepEqual(await memoryOf(small, memory.length), memory);
  assert.ok(small.length < memory.length / 4, `${small.length} bytes`);
});

test("what is left in the image are the fields, one after the other", () => {
  const memory = imageOf(...functions);
  assert.ok(takeTables(memory));
  const pairs = HEAD + AT.funcs;
  assert.ok(memory.subarray(pairs, BUCKETS).every((b) => b === 0));
  assert.deepEqual([...memory.subarray(BUCKETS, BUCKETS + 4)], [8, 9, 128 + 10, 1], "sizes in eights, and which comes later");
  assert.deepEqual(
    [0, 1, 2].map((i) => memory.readUInt32LE(BUCKETS + 4 + 4 * i)),
    [8, 24, 300],
    "then their arguments",
  );
});

test("tables that are not as they are known to be stay, and so does what has a start function of its own", async () => {
  for (const spoil of [
    (memory) => memory.writeUInt32LE(7, BUCKETS + 40), // another function in a bucket
    (memory) => memory.writeUInt32LE(FIRST, HEAD + AT.funcs + 8), // two functions at one place
    (memory) => memory.writeUInt32LE(1, HEAD + AT.funcs + 160), // a record with something between the fields
    (memory) => memory.writeBigUInt64LE(0n, MODULE), // no moduledata
  ]) {
    const memory = imageOf(...functions);
    spoil(memory);
    const was = Buffer.from(memory);
    assert.equal(takeTables(memory), null);
    assert.deepEqual(memory, was);
  }
  const memory = imageOf(...functions);
  const started = moduleOf(memory, section(SECTION.start, [0]));
  const pairs = HEAD + AT.funcs;
  assert.ok(slim(started).includes(memory.subarray(pairs + 1, pairs + 32)));
});
