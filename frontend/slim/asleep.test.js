import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { SECTION, wake } from "../worker/asleep.js";
import { Rest } from "../worker/rest.js";
import { readOutcome } from "../worker/sections.js";
import { asleep } from "./asleep.mjs";
import { constant, signed, unsigned } from "./leb.mjs";

await import(join(execFileSync("go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib", "wasm", "wasm_exec.js"));

const built = (name) => readFileSync(new URL(`../../build/${name}.wasm`, import.meta.url));
const whole = await WebAssembly.compile(built("whole")); // as Go's linker left it
const core = await WebAssembly.compile(built("core"));

/** Has an instance of the core answer: the door, its memory, and what its parts are called for. */
async function up(module) {
  const go = new globalThis.Go();
  const instance = await WebAssembly.instantiate(module, go.importObject);
  const parts = [new Rest("rest", { getNow: built }), new Rest("later", { name: "later", slot: 1, getNow: built })];
  if (module === core) for (const part of parts) part.expect(instance);
  const { door, ended } = wake(go, module, instance);
  let died = false;
  ended.then(() => (died = true));
  return { door, go, memory: instance.exports.mem, died: () => died };
}

const BORN = 1_800_000_000_000;

/** A phone's first minutes, without a kitchen: the bytes of every answer. */
function life({ door }, turns) {
  const answers = [];
  const step = (header, blob = null) => {
    const bytes = door.step(JSON.stringify({ chance: "07".repeat(32), ...header }), blob);
    assert.equal(readOutcome(bytes).fault, "");
    answers.push(Buffer.from(bytes).toString("base64"));
  };
  step({ op: "start", device: "phone", key: "0a", lang: "es", wall: BORN, mono: 10 }, new Uint8Array());
  for (let i = 0; i < turns; i++) {
    const now = { wall: BORN + 20 * i, mono: 20 * i + 20, chance: (i + 1).toString(16).padStart(64, "0") };
    step({ op: "tap", view: "v", path: "/timers", tap: { do: "timer", name: "rice", span: 60_000 + i }, ...now });
    step({ op: "look", view: "v", path: i % 2 ? "/" : "/timers", lang: "es", ...now });
    step({ op: "state", ...now });
  }
  return answers;
}

test("the core wakes up as it comes up where Go's loader runs it, and answers the same", async () => {
  assert.equal(WebAssembly.Module.customSections(core, SECTION).length, 1);
  const [run, woken] = [await up(whole), await up(core)];
  assert.equal(woken.door.fingerprint(), run.door.fingerprint());
  for (const lang of ["en", "es"]) assert.equal(woken.door.words(lang), run.door.words(lang));
  assert.deepEqual(life(woken, 12), life(run, 12));
  assert.equal(run.died() || woken.died(), false);
});

test("whoever wakes up later does not share the memory of who woke before", async () => {
  const one = await up(core);
  const begun = life(one, 3);
  const two = await up(core);
  assert.deepEqual(life(two, 3), begun);
  life(one, 3);
  assert.notEqual(one.memory, two.memory);
});

test("one that woke up collects its garbage, and lets go of what it had of JavaScript, as if it had been run", async () => {
  const used = async (module) => {
    const { door, go, memory } = await up(module);
    for (let i = 0; i < 1000; i++) {
      door.step(JSON.stringify({ op: "frame", wall: BORN, mono: i, chance: "07".repeat(32) }), new Uint8Array(200_000));
      if (i % 100 === 0) await new Promise((resolve) => setTimeout(resolve, 0));
    }
    return [memory.buffer.byteLength, go._values.length, go._idPool.length > 0];
  };
  const woken = await used(core);
  assert.deepEqual(woken, await used(whole));
  assert.ok(woken[0] < 50 << 20 && woken[2], "of two hundred megabytes");
});

test("what sleeps is not put to sleep again", async () => {
  await assert.rejects(asleep(built("core")), /sleeps already/);
});

test("a constant is written with its sign", () => {
  for (const value of [0n, 1n, 63n, 64n, -1n, -64n, -65n, 8192n, -(2n ** 31n), 2n ** 63n - 1n, -(2n ** 63n)]) {
    const wasm = Buffer.concat([
      Buffer.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]),
      Buffer.from([6, ...unsigned(constant(value).length + 5), 1, 0x7e, 0, 0x42, ...constant(value), 0x0b]),
      Buffer.from([7, 5, 1, 1, 0x67, 3, 0]),
    ]);
    assert.equal(new WebAssembly.Instance(new WebAssembly.Module(wasm)).exports.g.value, value);
  }
  assert.deepEqual(constant(4096n), signed(4096));
});
