import assert from "node:assert/strict";
import { test } from "node:test";
import { Rest } from "../worker/rest.js";
import { signed, unsigned } from "./leb.mjs";
import { named, SECTION, section } from "./module.mjs";
import { slimInParts } from "./slim.mjs";

const vector = (...list) => [...unsigned(list.length), ...list.flatMap((one) => [...one])];
const TABLE = 64; // where functions begin in it, as Go begins at 4096
const GO = 0; // the type of Go's functions; 1 is that of a function of nothing
const enter = [0x23, 0, 0x21, 1];

/**
 * A module of Go's shape with a memory, two globals and functions by name. Function 0 is "helper", which has no slot in the
 * table and is no Go function: (i32, i32) -> i32, their sum.
 */
function moduleOf(functions) {
  const names = ["helper", ...Object.keys(functions)];
  const bodies = [[0, 0x20, 0, 0x20, 1, 0x6a, 0x0b], ...Object.values(functions)].map((body) => [...unsigned(body.length), ...body]);
  const go = names.slice(1).map((_, i) => unsigned(i + 1));
  return Buffer.concat([
    Buffer.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]),
    section(SECTION.type, vector([0x60, 1, 0x7f, 1, 0x7f], [0x60, 0, 0], [0x60, 2, 0x7f, 0x7f, 1, 0x7f])),
    section(SECTION.function, vector([2], ...go.map(() => [GO]))),
    section(SECTION.table, vector([0x70, 0, TABLE + go.length])),
    section(SECTION.memory, vector([0, 1])),
    section(SECTION.global, vector([0x7f, 1, 0x41, ...signed(512), 0x0b], [0x7e, 1, 0x42, 5, 0x0b])),
    section(SECTION.export, vector([...named("mem"), 2, 0], [...named("run"), 0, 1])),
    section(SECTION.element, vector([0, 0x41, ...signed(TABLE), 0x0b, ...vector(...go)])),
    section(SECTION.code, vector(...bodies)),
    section(SECTION.custom, [...named("name"), ...nameSection(names)]),
  ]);
}

function nameSection(names) {
  const body = vector(...names.map((name, i) => [...unsigned(i), ...named(name)]));
  return [1, ...unsigned(body.length), ...body];
}

/** A function of Go's shape that gives what the instructions leave. */
const go = (...instructions) => [2, 1, 0x7f, 1, 0x7e, ...enter, ...instructions.flat(), 0x0b];
const call = (index) => [0x10, index];
const arg = [0x20, 0];
const constant = (n) => [0x41, ...signed(n)];
const store = (at, value) => [...constant(at), ...value, 0x36, 2, 0];
const add = 0x6a;

// run(x) = early(x) + late(x); late(x) = helper(own(x), early(x)), and it notes what it did; own is called by late alone, shared
// by late and early.
const functions = {
  run: go(arg, call(2), arg, call(3), add),
  early: go(arg, call(5), constant(10), add),
  late: go(store(8, constant(77)), [0x42, 9, 0x24, 1], arg, call(4), arg, call(2), call(0)),
  own: go(arg, call(5), constant(1), add),
  shared: go(arg, constant(1000), add),
  "own.func1": go(arg),
};
const isLate = (name) => name === "late";

/** In two parts. */
function slimInTwo(wasm, late) {
  const { first, parts } = slimInParts(wasm, [{ name: "rest", late }]);
  return { first, rest: parts[0] };
}

/** Runs the whole, and the two parts, and returns what each made of it. */
async function both(args) {
  const whole = moduleOf(functions);
  const { first, rest } = slimInTwo(whole, isLate);
  const one = await WebAssembly.instantiate(whole);
  const two = await WebAssembly.instantiate(first);
  let fetched = 0;
  const parts = new Rest("rest.wasm", { getNow: () => [rest, fetched++][0] });
  parts.expect(two.instance);
  const made = ({ exports }) => ({ results: args.map((x) => exports.run(x)), memory: Buffer.from(exports.mem.buffer).toString("hex") });
  return { want: made(one.instance), got: made(two.instance), fetched, whole, first, rest, exports: two.instance.exports };
}

test("two parts do what the whole does, and the rest is brought in once, when it is called", async () => {
  const { want, got, fetched, exports } = await both([1, 7, -3]);
  assert.deepEqual(got, want);
  assert.equal(want.results[0], 1011 + 1002 + 1011, "by hand");
  assert.equal(fetched, 1);
  assert.equal(exports.g1.value, 9n, "they share globals");
  assert.equal(exports.rest.value, 1);
});

test("what only late functions call goes with them, with its closures; what others call stays", () => {
  const { first, rest } = slimInTwo(moduleOf(functions), isLate);
  const inside = (wasm, n) => wasm.includes(Buffer.from([0x41, ...signed(n)]));
  assert.ok(inside(rest, 77) && !inside(first, 77), "late itself");
  assert.ok(inside(first, 1000) && !inside(rest, 1000), "what an early one calls too");
  assert.ok(first.length < moduleOf(functions).length + 200);
  assert.equal(WebAssembly.Module.exports(new WebAssembly.Module(rest)).length, 0);
});

test("a part is told whether others call a function, or only its slot is known", () => {
  const asked = new Map();
  slimInTwo(moduleOf(functions), (name, called) => {
    asked.set(name, called);
    return !called && name !== "run";
  });
  assert.deepEqual(Object.fromEntries(asked), { run: false, early: true, late: true, own: true, shared: true, "own.func1": false });
});

test("nothing late, nothing parted", () => {
  const { first, rest } = slimInTwo(moduleOf(functions), () => false);
  assert.equal(rest, null);
  assert.deepEqual(
    WebAssembly.Module.exports(new WebAssembly.Module(first)).map(({ name }) => name),
    ["mem", "run"],
  );
});

test("the rest comes ahead of need, and again where it does not come", async () => {
  const { first, rest } = slimInTwo(moduleOf(functions), isLate);
  const { instance } = await WebAssembly.instantiate(first);
  const waits = [];
  let fails = 2;
  const get = async () => {
    if (fails-- > 0) throw new Error("no kitchen");
    return new WebAssembly.Module(rest);
  };
  const parts = new Rest("rest.wasm", { get, getNow: () => assert.fail("not waited for"), later: (run) => waits.push(run) });
  const said = console.error;
  console.error = () => {};
  parts.expect(instance);
  await parts.bring();
  await waits.shift()();
  console.error = said;
  assert.equal(instance.exports.rest.value, 0);
  await waits.shift()();
  assert.equal(instance.exports.rest.value, 1);
  assert.equal(instance.exports.run(1), 3024);
  const again = await WebAssembly.instantiate(first); // the core broke down and was started again
  parts.expect(again.instance);
  assert.equal(again.instance.exports.run(1), 3024);
});

test("where the rest is not to be had, the call fails and says so", async () => {
  const { first } = slimInTwo(moduleOf(functions), isLate);
  const { instance } = await WebAssembly.instantiate(first);
  const parts = new Rest("rest.wasm", {
    getNow: () => {
      throw new Error("/assets/rest.wasm: 503");
    },
  });
  parts.expect(instance);
  assert.throws(() => instance.exports.run(1), /503/);
});

test("three parts do what the whole does, in whatever order they come", async () => {
  const whole = moduleOf(functions);
  const later = [
    { name: "rest", late: (name) => ["late", "early"].includes(name) }, // early is parted off before: it does not go twice
    { name: "night", late: (name) => name === "early" },
  ];
  const { first, parts } = slimInParts(whole, later);
  assert.equal(parts.length, 2);
  const one = await WebAssembly.instantiate(whole);
  for (const order of [[], ["rest", "night"], ["night", "rest"]]) {
    const two = await WebAssembly.instantiate(first);
    const brought = [];
    const rests = later.map(({ name }, slot) => {
      const getNow = (url) => [parts[slot], brought.push(url)][0];
      return new Rest(`${name}.wasm`, { name, slot, getNow, get: async () => new WebAssembly.Module(parts[slot]) });
    });
    for (const rest of rests) rest.expect(two.instance);
    for (const name of order) await rests.find((rest) => rest.name === name).bring();
    assert.equal(two.instance.exports.run(5), one.instance.exports.run(5), order.join());
    assert.equal(two.instance.exports.run(-2), one.instance.exports.run(-2));
    assert.deepEqual(brought, order.length ? [] : ["night.wasm", "rest.wasm"], "each once, where it is called");
  }
});
