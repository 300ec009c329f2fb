// Makes a Go wasm smaller without changing what it does: its memory image (memory.mjs), its code (code.mjs), and in parts, of
// which the first is all that the first screen needs (part.mjs).
import { shortCode } from "./code.mjs";
import { unsigned } from "./leb.mjs";
import { segments, shortMemory } from "./memory.mjs";
import { more, NOTHING, named, open, SECTION, section, sections, sized } from "./module.mjs";
import { part } from "./part.mjs";
import { takeTables } from "./start.mjs";
import { lateTables } from "./tables.mjs";

/**
 * slim returns a smaller module that behaves alike. What it does not know in a module it leaves as it is.
 * @param {Uint8Array} wasm
 * @param {(memory: Buffer) => void} [cut] takes out of its memory image what comes later
 * @returns {Buffer}
 */
export function slim(wasm, cut) {
  const all = sections(wasm);
  const data = all.find(({ id }) => id === SECTION.data);
  const it = data && open(wasm);
  const nothing = it && all.every(({ id }) => id !== SECTION.start) ? it.types.indexOf(NOTHING) : -1;
  /** @type {Buffer[]} */
  const begin = []; // the start function, if there is one
  const memory =
    data &&
    shortMemory(wasm, data.start, (memory) => {
      cut?.(memory);
      const body = nothing >= 0 && takeTables(memory);
      if (body) begin.push(body);
    });
  const out = [Buffer.from(wasm.subarray(0, 8))];
  for (const { id, start, end } of all) {
    const body = wasm.subarray(start, end);
    if (id === SECTION.custom && named("name").equals(body.subarray(0, 5))) continue;
    if (id === SECTION.element && it && begin.length > 0) out.push(section(SECTION.start, unsigned(it.typeOf.length)));
    if (id === SECTION.data && memory) out.push(section(id, memory));
    else if (id === SECTION.code) out.push(section(id, more(shortCode(wasm, start), begin.map(sized))));
    else if (id === SECTION.function)
      out.push(
        section(
          id,
          more(
            body,
            begin.map(() => unsigned(nothing)),
          ),
        ),
      );
    else out.push(section(id, body));
  }
  return Buffer.concat(out);
}

/** @typedef {{name: string, late: import("./part.mjs").Late, take?: (memory: Buffer) => import("./texts.mjs").Piece[]}} Later which functions lie in a part, and what else of the memory comes with it */

/**
 * slimInParts parts a module first: what is left waits for nothing, the others come one after another.
 * @param {Uint8Array} wasm with its names
 * @param {Later[]} later
 * @returns {{first: Buffer, parts: (Buffer | null)[]}} null: nothing to part off
 */
export function slimInParts(wasm, later) {
  let left = Buffer.from(wasm);
  const parts = later.map(({ name, late, take = () => [] }, slot) => ({ name, late, take, slot, wasm: Buffer.alloc(0), slots: new Set() }));
  for (const one of parts.toReversed()) {
    const gone = new Set(parts.flatMap(({ slots }) => [...slots]));
    const { first, rest, slots } = part(left, one.late, { ...one, gone });
    if (rest) Object.assign(one, { wasm: Buffer.from(rest), slots });
    left = Buffer.from(first);
  }
  /** @type {import("./texts.mjs").Piece[][]} */
  let pieces = parts.map(() => []);
  const small = slim(left, (memory) => {
    const tables = lateTables(
      memory,
      parts.map(({ slots }) => slots),
    );
    pieces = parts.map(({ take }, i) => [...tables[i], ...take(memory)]);
  });
  const whole = parts.map(({ wasm }, i) => (wasm.length ? Buffer.concat([slim(wasm), section(SECTION.data, segments(pieces[i]))]) : null));
  return { first: small, parts: whole };
}
