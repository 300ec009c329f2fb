// A phone that dies at any moment of receiving and sending, with the rules themselves on it, and a kitchen beside it that knows no
// more than the frames: whatever was shown is in the kitchen, once, and whatever the kitchen has comes to the phone, once.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { deflateRawSync } from "node:zlib";
import { wake } from "./asleep.js";
import { ask } from "./door.js";
import { Engine } from "./engine.js";
import { Line } from "./line.js";
import { Rest } from "./rest.js";
import { writeStored } from "./sections.js";
import { Shelf } from "./shelf.js";

await import(join(execFileSync("go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib", "wasm", "wasm_exec.js"));
const built = (name) => readFileSync(new URL(`../../build/${name}.wasm`, import.meta.url));
const compiled = await WebAssembly.compile(built("core"));
const parts = new Map();
const part = (name) => parts.get(name) ?? parts.set(name, new WebAssembly.Module(built(name))).get(name);
const PAIRING = { device: "phone", key: "0a", kitchen: "Halfmoon", generation: "g" };

/** The rules, begun anew at each start. */
class Rules {
  async start() {
    const go = new globalThis.Go();
    const instance = await WebAssembly.instantiate(compiled, go.importObject);
    for (const [name, slot] of [
      ["rest", 0],
      ["later", 1],
    ]) {
      const it = new Rest(name, { name, slot });
      it.module = part(name);
      it.expect(instance);
    }
    this.door = wake(go, compiled, instance).door;
    return false;
  }

  step(header, blob = null) {
    return ask(this.door, header, blob);
  }
}

const hex = (bytes) => Buffer.from(bytes).toString("hex");
const idOf = (record) => hex(record.subarray(1, 17)); // every record begins so
const tick = () => new Promise((resolve) => setImmediate(resolve));

/** Timers that somebody sets on another phone, as records. */
async function records(count) {
  const rules = new Rules();
  await rules.start();
  const at = (header) => ({ ...header, wall: Date.now(), mono: performance.now() });
  rules.step(at({ op: "start", device: "other", key: "0b", lang: "en" }), writeStored({ base: null, memory: null, tail: [] }));
  const tap = (i) => rules.step(at({ op: "tap", view: "v", path: "/timers", tap: { do: "timer", name: `rice ${i}`, span: 600_000 } }));
  return Array.from({ length: count }, (_, i) => tap(i).keep[0].record);
}

/** The state that a journal comes to. */
async function stateOf(journal) {
  const rules = new Rules();
  await rules.start();
  const tail = journal.map((record, i) => ({ seq: i + 1, id: record.slice(1, 17), record }));
  const now = { wall: Date.now(), mono: performance.now() };
  rules.step({ op: "start", device: "third", key: "0c", lang: "en", ...now }, writeStored({ base: null, memory: null, tail }));
  return hex(rules.step({ op: "state", ...now }).base.state);
}

// ---- frames, as package protocol has them ----

const varint = (n) => {
  const out = [];
  for (let left = BigInt(n); ; left >>= 7n) {
    if (left < 128n) return [...out, Number(left)];
    out.push(Number(left & 127n) | 128);
  }
};
const zigzag = (n) => varint(n >= 0 ? 2n * BigInt(n) : -2n * BigInt(n) - 1n);
const bytes = (b) => [...varint(b.length), ...b];
const list = (all) => [...varint(all.length), ...all.flat()];

function reader(frame) {
  let at = 1;
  const number = () => {
    let [n, shift] = [0n, 0n];
    for (; ; shift += 7n) {
      const byte = BigInt(frame[at++]);
      n |= (byte & 127n) << shift;
      if (byte < 128n) return Number(n);
    }
  };
  const piece = () => {
    const size = number();
    at += size;
    return frame.slice(at - size, at);
  };
  return { number, piece, rest: () => frame.slice(at), flag: () => frame[at++] === 1, list: () => Array.from({ length: number() }, piece) };
}

/** A Kitchen numbers what it hears and tells everybody; each id once. */
class Kitchen {
  constructor() {
    this.journal = [];
    this.peer = null;
  }

  has(id) {
    return this.journal.some((record) => idOf(record) === id);
  }

  /** Entries of others. */
  takes(all) {
    this.journal.push(...all);
    this.#tell();
  }

  /** @param {Uint8Array} frame @param {{say: (frame: number[]) => void}} peer */
  hears(frame, peer) {
    const it = reader(frame);
    const now = Date.now();
    if (frame[0] === 1) this.#greet(it, peer, now);
    else if (frame[0] === 3) this.#push(it, peer);
    else if (frame[0] === 6) this.#from(peer, it.number());
    else if (frame[0] === 7) peer.say([8, ...it.rest(), ...zigzag(now), ...zigzag(now), ...zigzag(1)]);
  }

  #greet(it, peer, now) {
    it.number(); // version
    const print = it.piece();
    for (let i = 0; i < 3; i++) it.piece(); // device, key, generation
    const [have, unsent] = [it.number(), it.number()];
    Object.assign(peer, { have, caught: false, kept: [] });
    this.peer = peer;
    peer.greeted(have);
    peer.say([
      2,
      ...varint(3),
      ...bytes(print),
      ...bytes(Buffer.from("g")),
      ...varint(this.journal.length),
      ...zigzag(now),
      ...zigzag(1),
      0,
      0,
    ]);
    if (!unsent) this.#from(peer, have);
  }

  #push(it, peer) {
    it.flag();
    const last = it.flag();
    for (const record of it.list()) {
      const id = idOf(record);
      const at = this.journal.findIndex((known) => idOf(known) === id);
      if (at < 0) this.journal.push(record);
      else peer.kept.push([at + 1, record.subarray(1, 17)]);
    }
    if (peer.kept.length) peer.say([17, ...list(peer.kept.map(([seq, id]) => [...varint(seq), ...id]))]);
    peer.kept = [];
    if (peer.caught) this.#tell();
    else if (last) this.#from(peer, peer.have);
  }

  /** All from a number on; to who has nothing, a base. */
  #from(peer, have) {
    peer.caught = true;
    peer.have = have;
    if (have > 0) return this.#tell();
    peer.have = this.journal.length;
    peer.say([5, ...varint(peer.have), 0, ...list(this.journal.map((record, i) => [...varint(i + 1), ...bytes(record)]))]);
  }

  #tell() {
    const { peer } = this;
    if (!peer?.caught || peer.have >= this.journal.length) return;
    peer.say([4, ...varint(peer.have), ...list(this.journal.slice(peer.have).map(bytes))]);
    peer.have = this.journal.length;
  }
}

// ---- the phone, and when it dies ----

class Fault extends Error {}

/** A Fate lets the moment number k go wrong: the phone dies there, or what it does then fails. */
class Fate {
  constructor(k = 0, how = "dies") {
    Object.assign(this, { k, how, count: 0, dead: false, names: [] });
  }

  /** Each await of the phone passes here before it goes on. @param {string} name @returns whether it fails */
  async meets(name) {
    if (this.dead) return new Promise(() => {});
    this.names.push(name);
    if (++this.count !== this.k) return;
    if (this.how === "fails") throw new Fault(name);
    this.dead = true;
    return new Promise(() => {});
  }
}

/** The Disk outlives the phone. A transaction counts once it was committed, and then whole. */
class Disk {
  stores = { numbered: new Map(), waiting: new Map(), device: new Map(), photos: new Map() };

  /** The browser's database in one life of the phone. @param {Fate} fate */
  opened(fate) {
    const keyed = (key) => (key instanceof Uint8Array ? hex(key) : key);
    const transaction = (names, mode = "readonly") => {
      const draft = Object.fromEntries([names].flat().map((name) => [name, new Map(this.stores[name])]));
      let failed = null;
      const guarded = async (name, work) => {
        try {
          await fate.meets(name);
        } catch (err) {
          failed = err;
          throw err;
        }
        return work();
      };
      const objectStore = (name) => ({
        get: (key) => guarded("get", () => draft[name].get(keyed(key))),
        getAll: () => guarded("getAll", () => [...draft[name].entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, value]) => value)),
        put: async (value, key) => void draft[name].set(keyed(key), value),
        delete: async (key) => void draft[name].delete(keyed(key)),
        clear: async () => draft[name].clear(),
      });
      const commit = async () => {
        await tick();
        await tick();
        if (mode === "readwrite") await fate.meets("commit");
        if (failed) throw failed;
        if (mode !== "readwrite") return;
        Object.assign(this.stores, draft);
        await fate.meets("committed").catch(() => {}); // one that was committed does not fail
      };
      const done = commit();
      if (mode === "readonly") done.catch(() => {}); // its requests tell
      return { objectStore, done, abort: () => (failed = new Fault("aborted")) };
    };
    return { transaction, close: () => {} };
  }

  /** What is held: numbers and ids. */
  held() {
    return [...this.stores.numbered.values(), ...this.stores.waiting.values()].map(({ seq, id }) => `${seq}:${hex(id)}`).sort();
  }
}

/** A Life is a phone from one start to its death. */
class Life {
  constructor(disk, kitchen, fate) {
    Object.assign(this, { disk, kitchen, fate, time: 0, timers: [], made: [], told: [], engine: null, socket: null });
  }

  async begins() {
    const shelf = new Shelf(this.disk.opened(this.fate), "one");
    const rules = new Rules();
    this.rules = rules;
    for (let claimed = false; !claimed; )
      claimed = await shelf.claim().then(
        () => true,
        () => false, // the page opens it anew
      );
    const line = new Line(
      "ws://kitchen/line",
      {
        opened: () => this.engine.push({ op: "opened" }),
        shut: () => this.engine.push({ op: "shut" }),
        frame: (frame, lag) => this.engine.push({ op: "frame" }, frame, lag),
      },
      this.#world(),
    );
    this.line = line;
    const engine = new Engine({
      core: {
        start: async () => {
          await this.fate.meets("start");
          return rules.start();
        },
        step: (header, blob) => {
          const outcome = rules.step(header, blob);
          if (header.op === "tap") this.made.push(...outcome.keep.map(({ id }) => hex(id)));
          return outcome;
        },
      },
      shelf,
      stored: await shelf.load(),
      line,
      pairing: PAIRING,
      lang: "en",
      show: () => {
        if (!this.fate.dead && engine.unsaved.length === 0) this.told = [...this.made];
      },
      notice: () => {},
      shutOut: () => {},
      fenced: () => {},
      later: (run, ms) => this.#later(run, ms),
      forget: (id) => delete this.timers[id],
    });
    this.engine = engine;
    await engine.start();
  }

  #later(run, ms) {
    return this.timers.push({ run, at: this.time + ms }) - 1;
  }

  #world() {
    return {
      dial: () => this.#dial(),
      now: () => this.time,
      chance: () => 0,
      later: (run, ms) => this.#later(run, ms),
      forget: (id) => delete this.timers[id],
    };
  }

  #dial() {
    const socket = { close: () => (socket.shut = true), shut: false };
    const arrives = async (run) => {
      await tick();
      await this.fate.meets("arrives");
      if (!socket.shut) run();
    };
    const lost = () => socket.onclose?.();
    const peer = {
      say: (frame) => {
        const plain = Uint8Array.from(frame);
        const packed = plain.length < 1_024 ? plain : Uint8Array.from([0x7f, ...deflateRawSync(plain)]);
        arrives(() => socket.onmessage?.({ data: packed.buffer })).catch(lost);
      },
      greeted: (have) => this.#claims(have),
    };
    socket.send = (frame) => {
      if (this.fate.dead) return;
      this.fate
        .meets("send")
        .then(() => {
          if (socket.shut) return;
          this.kitchen.hears(Uint8Array.from(frame), peer);
          return this.fate.meets("sent");
        })
        .catch(lost);
    };
    socket.hangUp = lost;
    this.socket = socket;
    arrives(() => socket.onopen?.()).catch(lost);
    return socket;
  }

  /** What it says that it has is on its disk. */
  #claims(have) {
    const numbers = [...this.disk.stores.numbered.keys()];
    for (let seq = 1; seq <= have; seq++) assert.ok(numbers.includes(seq), `it says that it has ${have}, and its disk has no ${seq}`);
  }

  taps(name) {
    this.engine?.push({ op: "tap", view: "v", path: "/timers", tap: { do: "timer", name, span: 900_000 } });
  }

  /** Lets time go by until something is so, or the phone is dead. */
  async until(so) {
    for (let i = 0; i < 400 && !this.fate.dead; i++) {
      for (let j = 0; j < 6; j++) await tick();
      await this.line?.inward;
      if (so()) return;
      if (i % 4 < 3) continue;
      this.time += 250;
      for (const [id, timer] of this.timers.entries()) {
        if (!timer || timer.at > this.time) continue;
        delete this.timers[id];
        timer.run();
      }
    }
    assert.ok(
      this.fate.dead,
      `the phone does not come to rest: ${this.disk.held().length} held, ${this.kitchen.journal.length} in the kitchen`,
    );
  }

  /** The phone holds what the kitchen has, and that has all that it made. */
  inStep() {
    const kept = this.kitchen.journal.map((record, i) => `${i + 1}:${idOf(record)}`).sort();
    return (
      this.engine?.ready === true &&
      this.line.open &&
      this.disk.held().join() === kept.join() &&
      this.made.every((id) => this.kitchen.has(id))
    );
  }
}

/** A shift on one phone: it comes to a kitchen, taps, hears others, loses the line, taps, and comes back. */
async function shift(disk, kitchen, fate, others) {
  const life = new Life(disk, kitchen, fate);
  life.begins().catch((err) => assert.fail(err));
  await life.until(() => life.inStep());
  life.taps("one");
  life.taps("two");
  kitchen.takes(others.slice(0, 2));
  await life.until(() => life.inStep() && life.made.length === 2);
  if (fate.dead) return life;
  life.socket.hangUp();
  life.taps("three");
  kitchen.takes(others.slice(2));
  await life.until(() => life.inStep() && life.made.length === 3);
  return life;
}

const [OLD, NEW] = [6, 40];
const others = await records(OLD + NEW);

function scene() {
  const kitchen = new Kitchen();
  kitchen.takes(others.slice(0, OLD));
  return { disk: new Disk(), kitchen };
}

/** A phone that starts from what is on the disk ends with what the kitchen has, once, and both have all that was shown. */
async function endsWell({ disk, kitchen }, first, what) {
  const left = others.filter((record) => !kitchen.has(idOf(record)));
  kitchen.takes(left);
  const second = new Life(disk, kitchen, new Fate());
  second.begins();
  await second.until(() => second.inStep());
  second.taps("four");
  await second.until(() => second.inStep() && second.made.length === 1);
  const ids = kitchen.journal.map(idOf);
  assert.equal(new Set(ids).size, ids.length, `${what}: doubled in the kitchen`);
  for (const id of [...first.told, ...second.told]) assert.ok(ids.includes(id), `${what}: what was shown is lost`);
  assert.equal(hex(second.engine.state()), await stateOf(kitchen.journal), `${what}: another state`);
}

const usual = scene();
const fate = new Fate();
const whole = await shift(usual.disk, usual.kitchen, fate, others.slice(OLD));

test("a shift without mishap is what the others are measured by", async () => {
  assert.equal(whole.told.length, 3);
  assert.equal(usual.kitchen.journal.length, OLD + NEW + 3);
  assert.deepEqual(new Set(fate.names), new Set(["get", "getAll", "commit", "committed", "start", "arrives", "send", "sent"]));
  await endsWell(usual, whole, "nothing");
});

for (const how of ["dies", "fails"]) {
  test(`at each of its ${fate.count} awaits, of which one ${how}: nothing is lost and nothing doubled`, async () => {
    for (let k = 1; k <= fate.count; k++) {
      const it = scene();
      const once = new Fate(k, how);
      const life = await shift(it.disk, it.kitchen, once, others.slice(OLD));
      assert.ok(once.count >= k, `moment ${k} did not come`);
      const what = `${how} at ${k}, ${once.names[k - 1]}`;
      if (how === "fails") assert.ok(life.told.length === 3 && life.inStep(), what);
      once.dead = true;
      await endsWell(it, life, what);
    }
  });
}
