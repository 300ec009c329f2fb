// Two tables of Go's runtime that are longer than what they say: which function an address lies in (runtime.findfunctab), and what
// is known of each function (runtime.functab). The first follows from how many functions there are. Of the second, brotli makes
// half as much when the fields of all functions come one after the other rather than the functions. So a module brings the fields
// alone, and writes both tables when it is instantiated, by a start function, before anything of Go runs.
//
// The fields lie where the first table is to be, which is larger, so that nothing of them is left. A start function is believed
// only when it has written the memory that was, once, here.
import { signed, unsigned } from "./leb.mjs";
import { FUNC, findData, findTable } from "./memory.mjs";
import { SECTION, section } from "./module.mjs";

const BUCKET = 4096; // runtime/symtab.go: addresses of a bucket of findfunctab, and its bytes
const BUCKET_SIZE = 20;
const WORD = { findfunctab: 19, minpc: 20, maxpc: 21 }; // of runtime.moduledata
const PAIR = 8; // of functab: a function's place, and where its record lies
const UNIT = 8; // records begin at multiples of it
const LATER = 128; // more than any record has of them
const PAGE = 65536;

const I32 = 0x7f;
const LOCAL = { i: 0, at: 1, record: 2 };
const get = (/** @type {number} */ local) => [0x20, local];
const set = (/** @type {number} */ local) => [0x21, local];
const constant = (/** @type {number} */ n) => [0x41, ...signed(n)];
const plus = (/** @type {number[][]} */ ...list) => [...list[0], ...list.slice(1).flatMap((one) => [...one, 0x6a])];
const times = (/** @type {number[]} */ one, /** @type {number} */ n) => [...one, ...constant(n), 0x6c];
const load = (/** @type {number[]} */ at, /** @type {number} */ far) => [...at, 0x28, 0, ...unsigned(far)];
const loadByte = (/** @type {number[]} */ at, /** @type {number} */ far) => [...at, 0x2d, 0, ...unsigned(far)];
const store = (/** @type {number[]} */ at, /** @type {number} */ far, /** @type {number[]} */ value) => [
  ...at,
  ...value,
  0x36,
  0,
  ...unsigned(far),
];
const grow = (/** @type {number} */ local, /** @type {number[]} */ by) => [...plus(get(local), by), ...set(local)];

/** Runs a body for i from 0 to n. @param {number} n @param {number[][]} body */
const each = (n, ...body) =>
  [constant(0), set(LOCAL.i), [0x03, 0x40], ...body, grow(LOCAL.i, constant(1)), get(LOCAL.i), constant(n), [0x49, 0x0d, 0, 0x0b]].flat();

const when = (/** @type {number[]} */ condition, /** @type {number[]} */ body) => [...condition, 0x04, 0x40, ...body, 0x0b];

/** @typedef {{count: number, pairs: number, records: number, end: number, buckets: number, bucketCount: number, first: number}} Tables where they lie, and the place of the first function */

/**
 * takeTables empties both tables in a memory image, puts the fields there, and returns the body of the function that writes the
 * tables; or null, and leaves the memory alone, where they are not as it knows them.
 * @param {Buffer} memory
 */
export function takeTables(memory) {
  const it = findTables(memory);
  if (!it) return null;
  const was = Buffer.from(memory);
  const { fields, columns } = fieldsOf(memory, it);
  if (fields.length > BUCKET_SIZE * it.bucketCount - BUCKET_SIZE) return null;
  memory.fill(0, it.pairs, it.end);
  for (let i = 0; i < it.bucketCount; i++) memory.fill(0, it.buckets + BUCKET_SIZE * i, it.buckets + BUCKET_SIZE * i + 4);
  memory.set(fields, it.buckets);
  const body = startOf(it, columns, fields.length);
  if (writes(memory, body).equals(was)) return body;
  was.copy(memory);
  return null;
}

/** @param {Buffer} memory @returns {Tables | null} */
function findTables(memory) {
  const head = findTable(memory);
  const data = head < 0 ? -1 : findData(memory, head);
  if (data < 0) return null;
  const word = (/** @type {number} */ i) => Number(memory.readBigUInt64LE(data + 8 * i));
  const count = Number(memory.readBigUInt64LE(head + 8));
  const pairs = head + Number(memory.readBigUInt64LE(head + 8 + 56));
  const buckets = word(WORD.findfunctab);
  const bucketCount = Math.ceil((word(WORD.maxpc) - word(WORD.minpc)) / BUCKET);
  const first = memory.readUInt32LE(pairs);
  const it = { count, pairs, records: pairs + memory.readUInt32LE(pairs + 4), end: 0, buckets, bucketCount, first };
  for (let i = 0; i < count; i++) if (memory.readUInt32LE(pairs + PAIR * i) !== first + i) return null;
  for (let i = 0; i < bucketCount; i++) {
    const at = buckets + BUCKET_SIZE * i;
    if (memory.readUInt32LE(at) !== i >> 4 || memory.subarray(at + 4, Math.min(at + BUCKET_SIZE, memory.length)).some((b) => b !== 0))
      return null;
  }
  const last = recordAt(memory, it, count - 1);
  it.end = last + sizeOf(memory, last);
  return it;
}

/** @param {Buffer} memory @param {Tables} it @param {number} i */
const recordAt = (memory, it, i) => it.pairs + memory.readUInt32LE(it.pairs + PAIR * i + 4);

/** @param {Buffer} memory @param {number} record */
const sizeOf = (memory, record) => FUNC.pcdata + 4 * (memory.readUInt32LE(record + FUNC.npcdata) + memory[record + FUNC.nfuncdata]);

/** @typedef {{at: number, list?: "pcdata" | "funcdata"}} Column a field by its offset in the record, or the one of a list by its place there */

/**
 * fieldsOf writes the sizes of all records, a byte each, and then one field of all records after the other, but for the functions
 * that come later, whose records come with them and are all zeros here.
 * @param {Buffer} memory @param {Tables} it
 */
function fieldsOf(memory, it) {
  const all = Array.from({ length: it.count }, (_, i) => recordAt(memory, it, i));
  const records = all.filter((at) => memory.readUInt32LE(at) !== 0);
  const sizes = all.map((at, i) => (i + 1 < all.length ? all[i + 1] - at : UNIT) / UNIT + (memory.readUInt32LE(at) === 0 ? LATER : 0));
  const parts = [Buffer.from(sizes)];
  /** @type {Column[]} */
  const columns = [];
  const take = (/** @type {Column} */ column, /** @type {number[]} */ places) => {
    const bytes = Buffer.alloc(4 * places.length);
    for (const [i, at] of places.entries()) bytes.writeUInt32LE(memory.readUInt32LE(at), 4 * i);
    if (bytes.every((b) => b === 0)) return;
    columns.push(column);
    parts.push(bytes);
  };
  const pcdatas = (/** @type {number} */ at) => memory.readUInt32LE(at + FUNC.npcdata);
  for (const k of range(2, FUNC.pcdata / 4)) {
    const places = records.map((at) => at + 4 * k);
    take({ at: 4 * k }, places);
  }
  for (const k of range(0, 16)) {
    const places = records.filter((at) => k < pcdatas(at)).map((at) => at + FUNC.pcdata + 4 * k);
    take({ at: k, list: "pcdata" }, places);
  }
  const funcdatas = (/** @type {number} */ at) => memory[at + FUNC.nfuncdata];
  for (const k of range(0, 16)) {
    const places = records.filter((at) => k < funcdatas(at)).map((at) => at + FUNC.pcdata + 4 * (pcdatas(at) + k));
    take({ at: k, list: "funcdata" }, places);
  }
  return { fields: Buffer.concat(parts), columns };
}

const range = (/** @type {number} */ from, /** @type {number} */ to) => Array.from({ length: to - from }, (_, i) => from + i);

/** The function that writes the tables. @param {Tables} it @param {Column[]} columns @param {number} length of all fields */
function startOf(it, columns, length) {
  const i = get(LOCAL.i);
  const record = get(LOCAL.record);
  const pair = times(i, PAIR);
  const place = plus(i, constant(it.first));
  const size = loadByte(get(LOCAL.at), 0);
  const toRecord = [...plus(load(pair, it.pairs + 4), constant(it.pairs)), ...set(LOCAL.record)];
  const code = [
    ...[...constant(it.buckets), ...set(LOCAL.at), ...constant(it.records), ...set(LOCAL.record)],
    ...each(
      it.count,
      store(pair, it.pairs, place),
      store(pair, it.pairs + 4, [...record, ...constant(it.pairs), 0x6b]),
      when([...size, ...constant(LATER), 0x49], store(record, 0, place)),
      grow(LOCAL.record, times([...size, ...constant(LATER - 1), 0x71], UNIT)),
      grow(LOCAL.at, constant(1)),
    ),
    ...store(constant(it.pairs + PAIR * it.count), 0, constant(it.first + it.count)),
    ...columns.flatMap((column) => each(it.count, toRecord, when(load(record, 0), fill(column)))),
    ...[...constant(it.buckets), ...constant(0), ...constant(length), 0xfc, 11, 0], // memory.fill
    ...each(it.bucketCount, store(times(i, BUCKET_SIZE), it.buckets, [...i, ...constant(4), 0x76])),
  ];
  return Buffer.from([1, 3, I32, ...code, 0x0b]);
}

/** Puts the next word of the fields into a record, if it has such a field. @param {Column} column */
function fill({ at, list }) {
  const record = get(LOCAL.record);
  const next = (/** @type {number[]} */ to, /** @type {number} */ far) => [
    ...store(to, far, load(get(LOCAL.at), 0)),
    ...grow(LOCAL.at, constant(4)),
  ];
  if (!list) return next(record, at);
  const pcdatas = load(record, FUNC.npcdata);
  const have = list === "pcdata" ? pcdatas : loadByte(record, FUNC.nfuncdata);
  const base = list === "pcdata" ? record : plus(record, times(pcdatas, 4));
  return when([...constant(at), ...have, 0x49], next(base, FUNC.pcdata + 4 * at));
}

/** What the memory is after a function of nothing ran on it. @param {Buffer} memory @param {Buffer} body */
function writes(memory, body) {
  const pages = unsigned(Math.ceil(memory.length / PAGE));
  const wasm = Buffer.concat([
    Buffer.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]),
    section(SECTION.type, [1, 0x60, 0, 0]),
    section(SECTION.function, [1, 0]),
    section(SECTION.memory, [1, 0, ...pages]),
    section(SECTION.export, [2, 1, 0x6d, 2, 0, 1, 0x66, 0, 0]),
    section(SECTION.code, Buffer.concat([Buffer.from([1]), unsigned(body.length), body])),
  ]);
  const { m, f } = /** @type {any} */ (new WebAssembly.Instance(new WebAssembly.Module(wasm)).exports);
  new Uint8Array(m.buffer).set(memory);
  f();
  return Buffer.from(m.buffer, 0, memory.length);
}
