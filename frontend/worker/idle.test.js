import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { Idle, rehearse } from "./idle.js";
import { Rest } from "./rest.js";
import { MemoryShelf } from "./shelf.js";
import { Spare } from "./spare.js";

await import(join(execFileSync("go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib", "wasm", "wasm_exec.js"));
const built = (name) => readFileSync(new URL(`../../build/${name}.wasm`, import.meta.url));
const core = {
  module: await WebAssembly.compile(built("core")),
  rest: new Rest("rest", { getNow: built }),
  later: new Rest("later", { name: "later", slot: 1, getNow: built }),
};
const EMPTY = { base: null, memory: null, top: null, pairing: null, tail: [], out: "" };
const DAY = 86_400_000;

/** What a spare core would be asked to draw, each screen of 100 bytes. */
function drawer() {
  const drawn = [];
  return { drawn, draw: (path, lang) => drawn.push(`${path} ${lang}`) && 100 };
}

const calm = { going: () => true, quiet: () => true, pause: async () => {} };

test("a rehearsal draws the first screens in both languages, until it has been enough", async () => {
  const spare = drawer();
  assert.equal(await rehearse(spare, { ...calm, enough: 2000 }), true);
  assert.ok(spare.drawn.length >= 20);
  const once = ["/ en", "/hold en", "/lists en", "/wall en", "/ es", "/hold es", "/lists es", "/wall es"];
  assert.deepEqual(spare.drawn.slice(0, 8), once);
  assert.equal(spare.drawn[8], "/ en");
});

test("it draws nothing while somebody uses the device, and goes on when it is quiet again", async () => {
  const spare = drawer();
  const pauses = [];
  let busy = 3;
  const quiet = () => busy === 0;
  const pause = async (ms) => {
    if (busy > 0) {
      assert.equal(spare.drawn.length, 0);
      busy--;
    }
    pauses.push(ms);
  };
  assert.equal(await rehearse(spare, { ...calm, quiet, pause, enough: 100 }), true);
  assert.deepEqual(pauses.slice(0, 3), [3000, 3000, 3000]);
  assert.ok(spare.drawn.length > 0);
});

test("it is broken off where another tab took over, and that is not noted as rehearsed", async () => {
  const spare = drawer();
  const going = () => spare.drawn.length === 0;
  assert.equal(await rehearse(spare, { ...calm, going, enough: Number.POSITIVE_INFINITY }), false);
});

/** A shelf that holds nothing but when it rehearsed. */
class Notes {
  constructor(last = { build: "", at: 0 }) {
    this.last = last;
    this.noted = 0;
  }

  load = async () => EMPTY;
  rehearsed = async () => this.last;
  async noteRehearsal(last) {
    this.last = last;
    this.noted++;
  }
}

/** How often somebody whose shelf is this one rehearses. */
async function rehearsals(shelf, more = {}) {
  const hands = { core: async () => core, shelf: () => shelf, touched: () => -10_000, cached: () => true, ...more };
  await new Idle("b", hands, 1).rehearse();
  return shelf.noted ?? 0;
}

test("each build rehearses once, and again after a month or when the clock went back", async () => {
  const shelf = new Notes();
  assert.equal(await rehearsals(shelf), 1);
  assert.equal(shelf.last.build, "b");
  assert.ok(Math.abs(Date.now() - shelf.last.at) < 60_000);
  assert.equal(await rehearsals(shelf), 1, "a second time");
  assert.equal(await rehearsals(new Notes({ build: "a", at: Date.now() })), 1, "another build");
  assert.equal(await rehearsals(new Notes({ build: "b", at: Date.now() - 29 * DAY })), 0, "29 days ago");
  assert.equal(await rehearsals(new Notes({ build: "b", at: Date.now() - 31 * DAY })), 1, "31 days ago");
  assert.equal(await rehearsals(new Notes({ build: "b", at: Date.now() + DAY })), 1, "tomorrow");
});

test("nobody rehearses without a shelf that lasts, without a kitchen, or where no machine code is kept", async () => {
  assert.equal(await rehearsals(new MemoryShelf()), 0);
  assert.equal(await rehearsals(new Notes(), { core: async () => null }), 0);
  assert.equal(await rehearsals(new Notes(), { cached: () => false }), 0);
  assert.equal(await rehearsals(new Notes(), { shelf: () => null }), 0);
});

test("a spare core draws the line for nobody, the same each time but for the clock", async () => {
  const spare = await Spare.open(core, new Uint8Array());
  const sizes = [1, 2, 3].map(() => spare.draw("/", "en"));
  assert.ok(sizes[0] > 100, `${sizes[0]} bytes`);
  assert.ok(
    sizes.every((size) => Math.abs(size - sizes[0]) < 40),
    sizes.join(" "),
  );
});
