// The shelf keeps a phone's entries, its base state and its small memory in IndexedDB, and says "kept" only when
// the browser has written them (a transaction's complete event, strict durability).
import { openDB } from "idb";

/** @typedef {import("./sections.js").Kept} Kept */
/** @typedef {import("./sections.js").Outcome} Outcome */
/** @typedef {{device: string, key: string, kitchen: string, generation: string}} Pairing */
/** @typedef {Pick<Outcome, "keep" | "base" | "memory"> & {top?: Uint8Array | null}} Batch */
/** @typedef {{base: Uint8Array | null, memory: Uint8Array | null, top: Uint8Array | null, tail: Kept[]}} Stored what the core starts from */
/** @typedef {import("idb").IDBPDatabase} Database */

const NAME = "brinebell";
const VERSION = 1;
const STRICT = /** @type {const} */ ({ durability: "strict" });
const RELAXED = /** @type {const} */ ({ durability: "relaxed" }); // what a power cut may take back, since then no tab is left

/** Fenced says that another tab has taken this phone's core over: nothing was written. */
export class Fenced extends Error {
  constructor() {
    super("another tab has taken over");
    this.name = "Fenced";
  }
}

/**
 * open opens the shelf. Its callbacks tell of an older tab in the way and of a store that went away.
 * @param {string} build of the core
 * @param {{blocked?: () => void, closed?: () => void}} [tell]
 * @returns {Promise<Shelf>}
 */
export async function open(build, tell = {}) {
  const db = await openDB(NAME, VERSION, {
    upgrade(fresh) {
      fresh.createObjectStore("numbered"); // by the kitchen's number: start-up reads them in order
      fresh.createObjectStore("waiting"); // by id, until the kitchen has numbered them
      fresh.createObjectStore("device"); // base, memory, top, epoch, pairing, rehearsed
      fresh.createObjectStore("photos"); // by hash, until the kitchen has them
    },
    blocked: () => tell.blocked?.(),
    blocking: (_old, _new, event) => {
      /** @type {IDBDatabase} */ (event.target).close();
      tell.closed?.();
    },
    terminated: () => tell.closed?.(),
  });
  return new Shelf(db, build);
}

/** A Shelf is one open store. Its epoch fences out whoever owned the core before. */
export class Shelf {
  /**
   * @param {Database} db
   * @param {string} [build] of the core: a top is of no use to another
   */
  constructor(db, build = "") {
    this.db = db;
    this.build = build;
    this.epoch = 0;
    /** @type {Awaited<ReturnType<typeof everything>> | null} */
    this.loaded = null;
  }

  /** claim makes this shelf the only one that may write; every older one gets Fenced at its next write. */
  async claim() {
    const tx = this.db.transaction(["numbered", "waiting", "device"], "readwrite", RELAXED);
    quiet(tx.done); // awaited below, unless a request fails before
    const [held, all] = await Promise.all([tx.objectStore("device").get("epoch"), everything(tx, this.build)]);
    const epoch = Number(held ?? 0) + 1;
    quiet(tx.objectStore("device").put(epoch, "epoch"));
    await tx.done;
    this.epoch = epoch;
    this.loaded = all; // nobody else has written since
    return epoch;
  }

  /** load reads all that the core needs to start. */
  async load() {
    const all = this.loaded ?? (await everything(this.db.transaction(["numbered", "waiting", "device"]), this.build));
    this.loaded = null;
    return all;
  }

  /**
   * keep writes several outcomes in one transaction, in their order, and resolves when they are durable.
   * @param {Batch[]} batches
   */
  async keep(batches) {
    if (!batches.some(writes)) return;
    await this.#write(["numbered", "waiting", "device"], (tx) => {
      for (const batch of batches) lay(tx, batch, this.build);
    });
  }

  /** @param {Pairing} pairing */
  async pair(pairing) {
    await this.#write(["device"], (tx) => {
      quiet(tx.objectStore("device").put(pairing, "pairing"));
      quiet(tx.objectStore("device").delete("out"));
    });
  }

  /** rehearsed tells which build rehearsed here last, and when. @returns {Promise<{build: string, at: number}>} */
  async rehearsed() {
    return (await this.db.get("device", "rehearsed")) ?? { build: "", at: 0 };
  }

  /** @param {{build: string, at: number}} last at in ms of this device's clock */
  async noteRehearsal(last) {
    await this.#write(["device"], (tx) => quiet(tx.objectStore("device").put(last, "rehearsed")));
  }

  /** @returns {Promise<string[]>} hashes of the photos that the kitchen lacks */
  async photos() {
    return /** @type {string[]} */ (await this.db.getAllKeys("photos"));
  }

  /**
   * @param {string} hash
   * @returns {Promise<Uint8Array | undefined>}
   */
  photo(hash) {
    return this.db.get("photos", hash);
  }

  /** @param {string} hash */
  async photoSent(hash) {
    await this.#write(["device", "photos"], (tx) => quiet(tx.objectStore("photos").delete(hash)));
  }

  /**
   * wipe empties the shelf of a device that the kitchen has shut out, photos too, and notes by which kitchen.
   * @param {string} kitchen
   */
  async wipe(kitchen) {
    await this.#write(["numbered", "waiting", "device", "photos"], (tx) => {
      for (const name of ["numbered", "waiting", "photos"]) quiet(tx.objectStore(name).clear());
      for (const key of ["base", "memory", "top", "pairing"]) quiet(tx.objectStore("device").delete(key));
      quiet(tx.objectStore("device").put(kitchen, "out"));
    });
  }

  close() {
    this.db.close();
  }

  /**
   * @param {string[]} stores
   * @param {(tx: Transaction) => void} work puts and deletes only: nothing may be awaited in a transaction but its own requests
   */
  async #write(stores, work) {
    this.loaded = null;
    const tx = this.db.transaction(stores, "readwrite", STRICT);
    quiet(tx.done); // awaited below; an abort by us must not count as unhandled
    const held = Number((await tx.objectStore("device").get("epoch")) ?? 0);
    if (held !== this.epoch) {
      tx.abort();
      throw new Fenced();
    }
    try {
      work(tx);
    } catch (err) {
      tx.abort(); // all of it or nothing
      throw err;
    }
    await tx.done;
  }
}

/** A MemoryShelf stands in where the browser gives no store: bells ring, but nothing outlives the page. */
export class MemoryShelf {
  constructor() {
    this.epoch = 0;
    /** @type {Map<string, Kept>} */
    this.kept = new Map();
    /** @type {Uint8Array | null} */
    this.base = null;
    /** @type {Uint8Array | null} */
    this.memory = null;
    /** @type {Pairing | null} */
    this.pairing = null;
    this.out = "";
  }

  async claim() {
    this.epoch++;
    return this.epoch;
  }

  async load() {
    const tail = [...this.kept.values()].sort((a, b) => (a.seq || Infinity) - (b.seq || Infinity));
    return { base: this.base, memory: this.memory, top: null, pairing: this.pairing, tail, out: this.out };
  }

  /** @param {Batch[]} batches */
  async keep(batches) {
    for (const { keep, base, memory } of batches) {
      if (base) {
        for (const [name, kept] of this.kept) if (kept.seq > 0) this.kept.delete(name);
        this.base = base.state;
      }
      for (const kept of [...(base?.tail ?? []), ...keep]) this.kept.set(String(kept.id), kept);
      if (memory) this.memory = memory;
    }
  }

  /** @param {Pairing} pairing */
  async pair(pairing) {
    this.pairing = pairing;
    this.out = "";
  }

  /** @param {string} kitchen */
  async wipe(kitchen) {
    this.kept.clear();
    this.base = this.memory = this.pairing = null;
    this.out = kitchen;
  }

  /** @returns {Promise<string[]>} */
  async photos() {
    return [];
  }

  /**
   * @param {string} _hash
   * @returns {Promise<Uint8Array | undefined>}
   */
  async photo(_hash) {
    return undefined;
  }

  /** @param {string} _hash */
  async photoSent(_hash) {}

  close() {}
}

/** @typedef {import("idb").IDBPTransaction<unknown, string[], "readwrite">} Transaction */

/**
 * everything reads all that the core needs to start.
 * @param {import("idb").IDBPTransaction<unknown, string[], IDBTransactionMode>} tx
 * @param {string} build of the core
 */
async function everything(tx, build) {
  const device = tx.objectStore("device");
  const [numbered, waiting, base, memory, top, pairing, out] = await Promise.all([
    tx.objectStore("numbered").getAll(),
    tx.objectStore("waiting").getAll(),
    device.get("base"),
    device.get("memory"),
    device.get("top"),
    device.get("pairing"),
    device.get("out"),
  ]);
  return {
    base: /** @type {Uint8Array | null} */ (base ?? null),
    memory: /** @type {Uint8Array | null} */ (memory ?? null),
    top: /** @type {Uint8Array | null} */ (top?.build === build ? top.bytes : null),
    pairing: /** @type {Pairing | null} */ (pairing ?? null),
    tail: /** @type {Kept[]} */ ([...numbered, ...waiting]),
    out: /** @type {string} */ (out ?? ""),
  };
}

/** @param {Batch} batch */
export function writes(batch) {
  return batch.keep.length > 0 || batch.base !== null || batch.memory !== null || Boolean(batch.top);
}

/**
 * lay puts one outcome into the stores. A base replaces everything but what still waits for its number.
 * @param {Transaction} tx
 * @param {Batch} batch
 * @param {string} build of the core
 */
function lay(tx, { keep, base, memory, top }, build) {
  if (base) {
    quiet(tx.objectStore("device").delete("top")); // it was folded from the base before
    quiet(tx.objectStore("numbered").clear());
    quiet(tx.objectStore("device").put(base.state, "base"));
    for (const kept of base.tail) put(tx, kept);
  }
  for (const kept of keep) put(tx, kept);
  if (memory) quiet(tx.objectStore("device").put(memory, "memory"));
  if (top) quiet(tx.objectStore("device").put({ build, bytes: top }, "top"));
}

/**
 * @param {Transaction} tx
 * @param {Kept} kept
 */
function put(tx, kept) {
  if (kept.seq === 0) {
    quiet(tx.objectStore("waiting").put(kept, /** @type {BufferSource} */ (kept.id)));
    return;
  }
  quiet(tx.objectStore("numbered").put(kept, kept.seq));
  quiet(tx.objectStore("waiting").delete(/** @type {BufferSource} */ (kept.id)));
}

/**
 * quiet leaves a request's failure to its transaction, which fails with it and is awaited.
 * @param {Promise<unknown>} request
 */
function quiet(request) {
  request.catch(() => {});
}

/**
 * peek reads what a page needs to send a photo by itself. It never creates or changes the store.
 * @returns {Promise<{pairing: Pairing | null}>}
 */
export async function peek() {
  const none = { pairing: null };
  let fresh = false;
  /** @type {Database} */
  let db;
  try {
    db = await openDB(NAME, VERSION, {
      upgrade: (_db, _old, _new, tx) => {
        fresh = true;
        quiet(tx.done);
        tx.abort();
      },
    });
  } catch (err) {
    if (fresh) return none;
    throw err;
  }
  try {
    const tx = db.transaction("device");
    return { pairing: (await tx.store.get("pairing")) ?? null };
  } finally {
    db.close();
  }
}

/**
 * shelvePhoto keeps a photo until the kitchen has it. A page may do this beside the owner: it touches nothing else.
 * @param {string} hash
 * @param {Uint8Array} bytes
 */
export async function shelvePhoto(hash, bytes) {
  const db = await openDB(NAME);
  try {
    const tx = db.transaction("photos", "readwrite", STRICT);
    quiet(tx.store.put(bytes, hash));
    await tx.done;
  } finally {
    db.close();
  }
}

/**
 * shelvedPhoto returns a photo that the kitchen lacks yet, undefined if it does not lie here.
 * @param {string} hash
 * @returns {Promise<Uint8Array | undefined>}
 */
export async function shelvedPhoto(hash) {
  const db = await openDB(NAME);
  try {
    return await db.get("photos", hash);
  } finally {
    db.close();
  }
}
