// Makes a Go wasm smaller without changing what it does: its memory image (memory.mjs), its code (code.mjs), and in two parts, of
// which the second comes after the first screen (part.mjs).
import { shortCode } from "./code.mjs";
import { segments, shortMemory } from "./memory.mjs";
import { named, SECTION, section, sections } from "./module.mjs";
import { part } from "./part.mjs";
import { lateTables } from "./tables.mjs";

/**
 * slim returns a smaller module that behaves alike. What it does not know in a module it leaves as it is.
 * @param {Uint8Array} wasm
 * @param {(memory: Buffer) => void} [cut] takes out of its memory image what comes later
 * @returns {Buffer}
 */
export function slim(wasm, cut) {
  const out = [Buffer.from(wasm.subarray(0, 8))];
  for (const { id, start, end } of sections(wasm)) {
    const body = wasm.subarray(start, end);
    if (id === SECTION.custom && named("name").equals(body.subarray(0, 5))) continue;
    if (id === SECTION.data) out.push(section(id, shortMemory(wasm, start, cut)));
    else if (id === SECTION.code) out.push(section(id, shortCode(wasm, start)));
    else out.push(section(id, body));
  }
  return Buffer.concat(out);
}

/**
 * slimInTwo parts a module first.
 * @param {Uint8Array} wasm with its names
 * @param {(name: string) => boolean} late
 * @param {(memory: Buffer) => import("./texts.mjs").Piece[]} [take] what else of the memory comes with the rest
 */
export function slimInTwo(wasm, late, take = () => []) {
  const { first, rest, slots } = part(wasm, late);
  if (!rest) return { first: slim(first), rest };
  /** @type {import("./texts.mjs").Piece[]} */
  const later = [];
  const small = slim(first, (memory) => {
    later.push(...lateTables(memory, (slot) => slots.has(slot)), ...take(memory));
  });
  return { first: small, rest: Buffer.concat([slim(rest), section(SECTION.data, segments(later))]) };
}
