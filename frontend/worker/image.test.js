import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { wake } from "./asleep.js";
import { fresh, imageOf, Picture } from "./image.js";
import { Rest } from "./rest.js";
import { readOutcome, writeStored } from "./sections.js";

await import(join(execFileSync("go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib", "wasm", "wasm_exec.js"));
const built = (name) => readFileSync(new URL(`../../build/${name}.wasm`, import.meta.url));
const core = await WebAssembly.compile(built("core"));
const BORN = 1_800_000_000_000;
const DEVICE = { device: "phone", key: "0a", lang: "es" };

/** A file that lies in memory. */
class File {
  constructor(bytes = Buffer.alloc(0)) {
    this.bytes = bytes;
    this.writes = [];
  }

  getSize = () => this.bytes.length;
  truncate(size) {
    this.bytes = this.bytes.subarray(0, size);
  }

  flush = () => void this.writes.push(Buffer.from(this.bytes));
  close = () => {};

  read(into, { at }) {
    const part = this.bytes.subarray(at, at + into.byteLength);
    new Uint8Array(into.buffer, into.byteOffset, into.byteLength).set(part);
    return part.length;
  }

  write(bytes, { at }) {
    const part = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const all = Buffer.alloc(Math.max(this.bytes.length, at + part.length));
    all.set(this.bytes);
    all.set(part, at);
    this.bytes = all;
    return part.length;
  }
}

async function up() {
  const go = new globalThis.Go();
  const instance = await WebAssembly.instantiate(core, go.importObject);
  for (const part of [new Rest("rest", { getNow: built }), new Rest("later", { name: "later", slot: 1, getNow: built })])
    part.expect(instance);
  const before = fresh(instance);
  const { door } = wake(go, core, instance);
  let n = 0;
  const step = (header, blob = null) => {
    const chance = (++n).toString(16).padStart(64, "0");
    const outcome = readOutcome(door.step(JSON.stringify({ wall: BORN + 1000 * n, mono: 1000 * n, chance, ...header }), blob));
    assert.equal(outcome.fault, "");
    return outcome;
  };
  return { go, instance, before, step };
}

const blobOf = (tail, top = null) => writeStored({ base: null, memory: null, top, tail });

/** What a phone has after so many taps: what is kept, and the state that is folded from that. */
async function lived(taps) {
  const { step } = await up();
  const tail = [...step({ op: "start", ...DEVICE }, blobOf([])).keep];
  for (let i = 0; i < taps; i++)
    tail.push(...step({ op: "tap", view: "v", path: "/timers", tap: { do: "timer", name: `rice ${i}`, span: 600_000 } }).keep);
  assert.equal(tail.length, taps);
  return tail;
}

/** A file with an image of a core that has read a tail. */
async function depicted(tail, build = "one") {
  const { go, instance, before, step } = await up();
  step({ op: "start", device: "", key: "", lang: "en" }, blobOf(tail));
  step({ op: "look", view: "image", path: "/" });
  const told = imageOf(go, instance, before, { build, base: 0, entries: tail.length });
  const file = new File();
  new Picture(file, build).keep(told, instance);
  return file;
}

/** What a start shows and has folded, from an image or without. */
async function begun(tail, picture = null) {
  const it = await up();
  const laid = picture ? picture.lay(it.go, it.instance) : false;
  const start = it.step({ op: "start", ...DEVICE, wall: BORN + 900_000, mono: 7 }, blobOf(tail));
  const now = { wall: BORN + 900_100, mono: 107 };
  const { draw } = it.step({ op: "look", view: "v", path: "/timers", lang: "es", ...now });
  const tapped = it.step({ op: "tap", view: "v", path: "/timers", tap: { do: "timer", name: "beans", span: 60_000 }, ...now });
  const { base } = it.step({ op: "state", ...now });
  return { laid, shows: { start, draw, tapped, state: Buffer.from(base.state).toString("hex") } };
}

test("a start from an image shows, keeps and folds what one without does", async () => {
  const tail = await lived(40);
  for (const [seen, now] of [
    [40, 40],
    [30, 40],
    [0, 40],
    [40, 20], // of another past: it reads everything anew
  ]) {
    const file = await depicted(tail.slice(0, seen));
    const from = await begun(tail.slice(0, now), new Picture(file, "one"));
    assert.equal(from.laid, true);
    assert.deepEqual(from.shows, (await begun(tail.slice(0, now))).shows, `${seen} of ${now}`);
  }
});

test("an entry that another has replaced since is read anew", async () => {
  const tail = await lived(12);
  const file = await depicted(tail);
  const [one, two] = [tail[3], tail[4]].map(({ record }) => Uint8Array.from(record));
  const other = tail.map((kept, i) => (i === 3 ? { ...kept, record: Uint8Array.from([...one.slice(0, 17), ...two.slice(17)]) } : kept));
  const from = await begun(other, new Picture(file, "one"));
  assert.equal(from.laid, true);
  assert.deepEqual(from.shows, (await begun(other)).shows);
});

test("an image is of its build alone, and of none that was not written to its end", async () => {
  const file = await depicted(await lived(5));
  assert.ok(new Picture(file, "one").told);
  assert.equal(new Picture(file, "two").told, null);
  for (const torn of file.writes.slice(0, -1)) assert.equal(new Picture(new File(torn), "one").told, null);
  for (const size of [0, 5, 12, 400, file.bytes.length - 1])
    assert.equal(new Picture(new File(file.bytes.subarray(0, size)), "one").told, null);
  const picture = new Picture(file, "one");
  picture.drop();
  assert.equal(file.bytes.length, 0);
  assert.equal(new Picture(file, "one").told, null);
});

test("an image of which a byte is not as it was written is not used", async () => {
  const { bytes } = await depicted(await lived(5));
  const it = await up();
  for (let at = 0; at < bytes.length; at += at < 2000 ? 97 : 50_021) {
    const bad = Buffer.from(bytes);
    bad[at] ^= 0x10;
    const picture = new Picture(new File(bad), "one");
    assert.equal(picture.told !== null && picture.lay(it.go, it.instance), false, `byte ${at}`);
  }
});

test("there is no image of a core that has collected garbage or waits for time to pass", async () => {
  const { go, instance, before } = await up();
  const of = { build: "one", base: 0, entries: 0 };
  assert.ok(imageOf(go, instance, before, of));
  go._scheduledTimeouts.set(1, 0);
  assert.equal(imageOf(go, instance, before, of), null);
  go._scheduledTimeouts.clear();
  go._idPool.push(9);
  assert.equal(imageOf(go, instance, before, of), null);
});

test("a core that went on from an image collects its garbage as ever", async () => {
  const tail = await lived(40);
  const it = await up();
  assert.ok(new Picture(await depicted(tail), "one").lay(it.go, it.instance));
  it.step({ op: "start", ...DEVICE }, blobOf(tail));
  for (let i = 0; i < 600; i++) {
    it.step({ op: "frame" }, new Uint8Array(400_000));
    if (i % 50 === 0) await new Promise((resolve) => setTimeout(resolve, 0));
  }
  assert.ok(it.instance.exports.mem.buffer.byteLength < 64 << 20, "of a quarter of a gigabyte");
  assert.ok(it.go._idPool.length > 0 && it.go._values.length < 2000);
  assert.equal(it.step({ op: "state" }).base.state.length > 0, true);
});
