// Parts a Go wasm in two: what a phone needs for its first screens, and the rest, which comes after.
//
// Both share one memory, one table and the same globals, so that a function does not know in which of them it lies. Where a
// function was parted off, the first holds a stub: it has the rest brought in, if it is not in yet, and calls what lies in the
// function's slot of the table by then. Within the rest, functions of the first are called by their slots too. Which functions go
// is a matter of speed and never of right or wrong.
//
//   first   exports "table", "g0", "g1", ... and "rest" (a global: 1 once the rest is in), expects in slot 0 of the table a function
//           that brings it in, and whatever Go exports
//   rest    imports all that from "first", and puts its functions into their slots when it is instantiated
//
// What is left of a first part can be parted again: the same by another name ("night", "night.g0", ...) and with a slot of its own.
import { instructions, localsOf } from "./code.mjs";
import { signed, unsigned } from "./leb.mjs";
import { more, NOTHING, named, open, SECTION, section, sections, sized } from "./module.mjs";

const GO = "7f>7f"; // the type of every function that Go compiles: (i32) -> i32
const CALL = 0x10;
const CALL_INDIRECT = 0x11;
const FUNCREF = 0x70;
const KIND = { function: 0, table: 1, memory: 2, global: 3 };

/** @typedef {(name: string, called: boolean) => boolean} Late whether a function, and what only such functions call, may come later: by its name, and by whether any calls it other than by its slot */
/** @typedef {{name: string, slot: number, gone?: Set<number | undefined>}} Door how a part is joined to the first: a name, the slot of who brings it in, and the slots of what was parted off before and must not go twice */

/**
 * part returns the two modules, and the slots of what was parted off. Without anything to part off the rest is null.
 * @param {Uint8Array} wasm with its names
 * @param {Late} late
 * @param {Door} [door]
 */
export function part(wasm, late, door = { name: "rest", slot: 0 }) {
  const it = open(wasm);
  const go = it.types.indexOf(GO);
  const nothing = it.types.indexOf(NOTHING);
  const code = it.bodies.map(({ start, end }) => calls(wasm, start, end));
  const off = partedOff(it, code, late, go, door.gone ?? new Set());
  if (off.length === 0 || go < 0 || nothing < 0) return { first: Buffer.from(wasm), rest: null, slots: new Set() };
  return {
    first: firstOf(wasm, it, new Set(off), go, nothing, door),
    rest: restOf(wasm, it, off, code, door),
    slots: new Set(off.map((f) => it.slots.get(f))),
  };
}

/** Where a function calls which others. @param {Uint8Array} wasm @param {number} start @param {number} end */
function calls(wasm, start, end) {
  const list = instructions(wasm, localsOf(wasm, start).code, end);
  return list?.filter(({ op }) => op === CALL) ?? null;
}

/**
 * partedOff lists the functions that are late, with those that nobody but late ones calls and with their closures.
 * @param {import("./module.mjs").Module} it @param {(ReturnType<typeof calls>)[]} code @param {Late} late @param {number} go
 * @param {Set<number | undefined>} gone
 */
function partedOff(it, code, late, go, gone) {
  /** @type {Map<number, Set<number>>} */
  const callers = new Map();
  code.forEach((list, i) => {
    for (const { n } of list ?? []) callers.set(n, (callers.get(n) ?? new Set()).add(i + it.imports));
  });
  const byName = new Map([...it.names].map(([index, name]) => [name, index]));
  const off = new Set();
  const mayGo = (/** @type {number} */ f) =>
    it.typeOf[f] === go && it.slots.has(f) && !gone.has(it.slots.get(f)) && code[f - it.imports] !== null;
  const goes = (/** @type {number} */ f) => {
    const name = it.names.get(f) ?? "";
    const from = callers.get(f);
    if (late(name, from !== undefined)) return true;
    if (from) return [...from].every((other) => other === f || off.has(other));
    const outer = name.replace(/\.func\d+(\.\d+)*$/, "");
    return !outer.endsWith(".init") && off.has(byName.get(outer) ?? -1); // what initialises a package leaves its closures to others
  };
  for (let grown = true; grown; ) {
    grown = false;
    for (let f = it.imports; f < it.typeOf.length; f++) {
      if (off.has(f) || !mayGo(f) || !goes(f)) continue;
      off.add(f);
      grown = true;
    }
  }
  return [...off].sort((a, b) => a - b);
}

/**
 * @param {Uint8Array} wasm @param {import("./module.mjs").Module} it @param {Set<number>} off @param {number} go @param {number} nothing
 * @param {Door} door
 */
function firstOf(wasm, it, off, go, nothing, door) {
  const isIn = it.globals.length;
  const out = [Buffer.from(wasm.subarray(0, 8))];
  for (const { id, start, end } of sections(wasm)) {
    const body = wasm.subarray(start, end);
    if (id === SECTION.global) out.push(section(id, more(body, [Buffer.from([0x7f, 1, 0x41, 0, 0x0b])])));
    else if (id === SECTION.export) out.push(section(id, more(body, exportsFor(it, off, isIn, door))));
    else if (id === SECTION.code) {
      const bodies = it.bodies.map(({ start, end }, i) => {
        const f = i + it.imports;
        return off.has(f) ? stub(isIn, nothing, go, door.slot, /** @type {number} */ (it.slots.get(f))) : wasm.subarray(start, end);
      });
      out.push(section(id, vector(bodies.map(sized))));
    } else out.push(section(id, body));
  }
  return Buffer.concat(out);
}

/** @param {Uint8Array[]} list */
const vector = (list) => Buffer.concat([unsigned(list.length), ...list]);

/** shared names what a part has of the first. @param {Door} door @param {string} what */
const shared = (door, what) => (door.slot === 0 ? what : `${door.name}.${what}`);

/** What the rest needs of the first. @param {import("./module.mjs").Module} it @param {Set<number>} off @param {number} isIn @param {Door} door */
function exportsFor(it, off, isIn, door) {
  const list = [
    Buffer.concat([named(shared(door, "table")), Buffer.from([KIND.table, 0])]),
    Buffer.concat([named(door.name), Buffer.from([KIND.global]), unsigned(isIn)]),
  ];
  for (const i of it.globals.keys()) list.push(Buffer.concat([named(shared(door, `g${i}`)), Buffer.from([KIND.global]), unsigned(i)]));
  for (let f = 0; f < it.typeOf.length; f++) {
    if (!it.slots.has(f) && !off.has(f))
      list.push(Buffer.concat([named(shared(door, `f${f}`)), Buffer.from([KIND.function]), unsigned(f)]));
  }
  return list;
}

/** A function that has the rest brought in, if it is not, and hands on to the function in a slot. */
function stub(
  /** @type {number} */ isIn,
  /** @type {number} */ nothing,
  /** @type {number} */ go,
  /** @type {number} */ hook,
  /** @type {number} */ slot,
) {
  return Buffer.concat([
    Buffer.from([0, 0x23, ...unsigned(isIn), 0x45, 0x04, 0x40, 0x41, hook, CALL_INDIRECT, ...unsigned(nothing), 0, 0x0b]),
    Buffer.from([0x20, 0, 0x41, ...signed(slot), CALL_INDIRECT, ...unsigned(go), 0, 0x0b]),
  ]);
}

/**
 * @param {Uint8Array} wasm @param {import("./module.mjs").Module} it @param {number[]} off @param {(ReturnType<typeof calls>)[]} code
 * @param {Door} door
 */
function restOf(wasm, it, off, code, door) {
  const place = new Map();
  const outside = new Set();
  const known = new Set(off);
  for (const f of off) for (const { n } of code[f - it.imports] ?? []) if (!known.has(n) && !it.slots.has(n)) outside.add(n);
  const taken = [...outside].sort((a, b) => a - b);
  for (const [i, f] of [...taken, ...off].entries()) place.set(f, i);
  const typeSection = sections(wasm).find(({ id }) => id === SECTION.type);
  if (!typeSection) throw new Error("slim: a module without types");
  const from = (/** @type {string} */ name, /** @type {number[]} */ ...what) =>
    Buffer.concat([named("first"), named(name), Buffer.from(what)]);
  const imports = [from("mem", KIND.memory, 0, 0), from(shared(door, "table"), KIND.table, FUNCREF, 0, 0)];
  for (const [i, { type, mutable }] of it.globals.entries()) imports.push(from(shared(door, `g${i}`), KIND.global, type, mutable));
  for (const f of taken) imports.push(from(shared(door, `f${f}`), KIND.function, ...unsigned(it.typeOf[f])));
  const bodies = off.map((f) => sized(moved(wasm, it, f, code[f - it.imports] ?? [], place)));
  return Buffer.concat([
    Buffer.from(wasm.subarray(0, 8)),
    section(SECTION.type, wasm.subarray(typeSection.start, typeSection.end)),
    section(SECTION.import, vector(imports)),
    section(SECTION.function, vector(off.map((f) => unsigned(it.typeOf[f])))),
    section(SECTION.element, vector(runs(it, off, taken.length))),
    section(SECTION.code, vector(bodies)),
  ]);
}

/** Which functions of the rest go into which slots: one segment for each run of neighbours. @param {import("./module.mjs").Module} it @param {number[]} off @param {number} first */
function runs(it, off, first) {
  const list = [];
  for (let i = 0; i < off.length; ) {
    const slot = /** @type {number} */ (it.slots.get(off[i]));
    let n = 1;
    while (i + n < off.length && it.slots.get(off[i + n]) === slot + n) n++;
    const functions = Array.from({ length: n }, (_, k) => unsigned(first + i + k));
    list.push(Buffer.concat([Buffer.from([0, 0x41, ...signed(slot), 0x0b]), vector(functions)]));
    i += n;
  }
  return list;
}

/**
 * moved rewrites a function's calls for the rest.
 * @param {Uint8Array} wasm @param {import("./module.mjs").Module} it @param {number} f
 * @param {{from: number, to: number, n: number}[]} list its calls @param {Map<number, number>} place of functions that the rest knows
 */
function moved(wasm, it, f, list, place) {
  const { start, end } = it.bodies[f - it.imports];
  const out = [];
  let at = start;
  for (const { from, to, n } of list) {
    out.push(wasm.subarray(at, from));
    const there = place.get(n);
    if (there !== undefined) out.push(Buffer.from([CALL, ...unsigned(there)]));
    else out.push(Buffer.from([0x41, ...signed(/** @type {number} */ (it.slots.get(n))), CALL_INDIRECT, ...unsigned(it.typeOf[n]), 0]));
    at = to;
  }
  out.push(wasm.subarray(at, end));
  return Buffer.concat(out);
}
