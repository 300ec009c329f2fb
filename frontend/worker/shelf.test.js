import assert from "node:assert/strict";
import { test } from "node:test";
import { Fenced, Shelf, writes } from "./shelf.js";

/** A Store imitates the part of IndexedDB that the shelf uses: a transaction's writes count only once it completes. */
class Store {
  constructor() {
    this.stores = { numbered: new Map(), waiting: new Map(), device: new Map(), photos: new Map() };
    this.asked = [];
  }

  transaction(names, mode = "readonly", options = {}) {
    this.asked.push({ mode, ...options });
    const draft = Object.fromEntries([names].flat().map((name) => [name, new Map(this.stores[name])]));
    let failed = this.failing ?? null;
    const keyed = (key) => (key instanceof Uint8Array ? key.join() : key);
    const objectStore = (name) => ({
      get: async (key) => draft[name].get(keyed(key)),
      getAll: async () => [...draft[name].entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, value]) => value),
      put: async (value, key) => void draft[name].set(keyed(key), value),
      delete: async (key) => void draft[name].delete(keyed(key)),
      clear: async () => draft[name].clear(),
    });
    const done = new Promise((resolve, reject) =>
      setImmediate(() => {
        if (failed) return reject(failed);
        if (mode === "readwrite") Object.assign(this.stores, draft);
        resolve();
      }),
    );
    return {
      objectStore,
      done,
      store: typeof names === "string" ? objectStore(names) : null,
      abort: () => (failed = new Error("AbortError")),
    };
  }

  async getAllKeys(name) {
    return [...this.stores[name].keys()];
  }

  close() {}
}

const id = (n) => new Uint8Array(16).fill(n);
const kept = (seq, n) => ({ seq, id: id(n), record: new Uint8Array([n]) });
const batch = (part) => ({ keep: [], base: null, memory: null, ...part });
const shape = ({ tail }) => tail.map(({ seq, id: [n] }) => `${seq}:${n}`);

async function shelfOn(db, build = "one") {
  const shelf = new Shelf(db, build);
  await shelf.claim();
  return shelf;
}

test("entries come back in the kitchen's order, those without a number last", async () => {
  const shelf = await shelfOn(new Store());
  await shelf.keep([batch({ keep: [kept(0, 9), kept(3, 3), kept(2, 2)] })]);
  assert.deepEqual(shape(await shelf.load()), ["2:2", "3:3", "0:9"]);
});

test("an entry that gets its number is kept once", async () => {
  const shelf = await shelfOn(new Store());
  await shelf.keep([batch({ keep: [kept(0, 5)] })]);
  await shelf.keep([batch({ keep: [kept(12, 5)] })]);
  assert.deepEqual(shape(await shelf.load()), ["12:5"]);
});

test("a base replaces all but what still waits for its number", async () => {
  const shelf = await shelfOn(new Store());
  await shelf.keep([batch({ keep: [kept(1, 1), kept(2, 2), kept(0, 7)] })]);
  await shelf.keep([batch({ base: { state: new Uint8Array([1]), tail: [kept(8, 8)] }, keep: [kept(9, 9)] })]);
  const stored = await shelf.load();
  assert.deepEqual(shape(stored), ["8:8", "9:9", "0:7"]);
  assert.deepEqual(stored.base, new Uint8Array([1]));
});

test("a base may take a number back: the entry waits again", async () => {
  const shelf = await shelfOn(new Store());
  await shelf.keep([batch({ keep: [kept(4, 4)] })]);
  await shelf.keep([batch({ base: { state: new Uint8Array([2]), tail: [kept(0, 4)] } })]);
  assert.deepEqual(shape(await shelf.load()), ["0:4"]);
});

test("several outcomes are one strict transaction, in their order", async () => {
  const db = new Store();
  const shelf = await shelfOn(db);
  db.asked.length = 0;
  await shelf.keep([
    batch({ keep: [kept(0, 1)], memory: new Uint8Array([1]) }),
    batch({ keep: [kept(6, 1)], memory: new Uint8Array([2]) }),
  ]);
  assert.deepEqual(db.asked, [{ mode: "readwrite", durability: "strict" }]);
  const stored = await shelf.load();
  assert.deepEqual(shape(stored), ["6:1"]);
  assert.deepEqual(stored.memory, new Uint8Array([2]));
});

test("a top is kept with the entries of its step, and goes with the base that it was folded from", async () => {
  const db = new Store();
  const shelf = await shelfOn(db);
  await shelf.keep([batch({ keep: [kept(1, 1)], top: new Uint8Array([7]) })]);
  assert.deepEqual((await shelf.load()).top, new Uint8Array([7]));
  await shelf.keep([batch({ keep: [kept(2, 2)] })]);
  assert.deepEqual((await shelf.load()).top, new Uint8Array([7]), "what came since is folded after it");
  await shelf.keep([batch({ base: { state: new Uint8Array([1]), tail: [] } })]);
  assert.equal((await shelf.load()).top, null);
  await shelf.keep([batch({ base: { state: new Uint8Array([1]), tail: [] }, top: new Uint8Array([8]) })]);
  assert.deepEqual((await shelf.load()).top, new Uint8Array([8]), "of one step it is that of its own base");
  await shelf.wipe("c");
  assert.equal((await shelf.load()).top, null);
});

test("what was read when the shelf was claimed is handed out once, and not after anything was written", async () => {
  const db = new Store();
  await (await shelfOn(db)).keep([batch({ keep: [kept(1, 1)] })]);
  const shelf = await shelfOn(db);
  db.asked.length = 0;
  assert.deepEqual(shape(await shelf.load()), ["1:1"]);
  assert.equal(db.asked.length, 0);
  await shelf.load();
  assert.equal(db.asked.length, 1);
  const next = await shelfOn(db);
  await next.keep([batch({ keep: [kept(2, 2)] })]);
  assert.deepEqual(shape(await next.load()), ["1:1", "2:2"]);
});

test("a top is handed to no other build", async () => {
  const db = new Store();
  const before = await shelfOn(db, "one");
  await before.keep([batch({ top: new Uint8Array([7]) })]);
  const after = await shelfOn(db, "two");
  assert.equal((await after.load()).top, null);
  await after.keep([batch({ top: new Uint8Array([8]) })]);
  assert.deepEqual((await after.load()).top, new Uint8Array([8]));
  assert.equal((await before.load()).top, null);
});

test("every write of what must not be lost asks for strict durability", async () => {
  const db = new Store();
  const shelf = await shelfOn(db);
  await shelf.keep([batch({ memory: new Uint8Array([1]) })]);
  await shelf.pair({ device: "d", key: "k", kitchen: "c", generation: "g" });
  await shelf.wipe("c");
  const [claim, ...writing] = db.asked.filter(({ mode }) => mode === "readwrite");
  assert.equal(claim.durability, "relaxed", "a power cut leaves no tab that would have to be fenced out");
  assert.equal(writing.length, 3);
  for (const asked of writing) assert.equal(asked.durability, "strict");
});

test("an outcome that keeps nothing opens no transaction", async () => {
  const db = new Store();
  const shelf = await shelfOn(db);
  db.asked.length = 0;
  await shelf.keep([batch({}), batch({})]);
  assert.equal(db.asked.length, 0);
  assert.equal(writes(batch({})), false);
  assert.equal(writes(batch({ memory: new Uint8Array() })), true);
});

test("an owner whose seat was taken writes nothing any more", async () => {
  const db = new Store();
  const old = await shelfOn(db);
  await old.keep([batch({ keep: [kept(1, 1)] })]);
  const young = await shelfOn(db);
  await assert.rejects(old.keep([batch({ keep: [kept(2, 2)] })]), Fenced);
  await young.keep([batch({ keep: [kept(3, 3)] })]);
  assert.deepEqual(shape(await young.load()), ["1:1", "3:3"]);
});

test("a transaction that fails is not acknowledged and leaves nothing", async () => {
  const db = new Store();
  const shelf = await shelfOn(db);
  db.failing = Object.assign(new Error("no room"), { name: "QuotaExceededError" });
  await assert.rejects(shelf.keep([batch({ keep: [kept(1, 1)] })]), { name: "QuotaExceededError" });
  db.failing = null;
  assert.deepEqual(shape(await shelf.load()), []);
});

test("a write that breaks off in the middle leaves nothing of itself", async () => {
  const db = new Store();
  const shelf = await shelfOn(db);
  await assert.rejects(shelf.keep([batch({ keep: [kept(1, 1), null] })]), TypeError);
  assert.deepEqual(shape(await shelf.load()), []);
});

test("a wiped shelf holds nothing of the kitchen, and still fences", async () => {
  const db = new Store();
  const old = await shelfOn(db);
  const shelf = await shelfOn(db);
  await shelf.keep([batch({ keep: [kept(1, 1), kept(0, 2)], memory: new Uint8Array([1]) })]);
  await shelf.pair({ device: "d", key: "k", kitchen: "c", generation: "g" });
  const photo = db.transaction(["photos"], "readwrite", {});
  photo.objectStore("photos").put(new Uint8Array([1]), "ab");
  await photo.done;
  assert.deepEqual(await shelf.photos(), ["ab"]);
  await shelf.wipe("c");
  assert.deepEqual(await shelf.load(), { base: null, memory: null, top: null, pairing: null, tail: [], out: "c" });
  assert.deepEqual(await shelf.photos(), []);
  await shelf.pair({ device: "e", key: "k", kitchen: "c", generation: "g" });
  assert.equal((await shelf.load()).out, "", "it was let in again");
  await assert.rejects(old.keep([batch({ keep: [kept(1, 1)] })]), Fenced);
});
