// Makes a Go wasm smaller without changing what it does: its memory image (memory.mjs) and its code (code.mjs).
import { shortCode } from "./code.mjs";
import { readUnsigned, unsigned } from "./leb.mjs";
import { shortMemory } from "./memory.mjs";

const CODE = 10;
const DATA = 11;

/**
 * slim returns a smaller module that behaves alike. What it does not know in a module it leaves as it is.
 * @param {Uint8Array} wasm
 * @returns {Buffer}
 */
export function slim(wasm) {
  const out = [Buffer.from(wasm.subarray(0, 8))];
  for (const { id, from, start, end } of sections(wasm)) {
    if (id !== DATA && id !== CODE) {
      out.push(Buffer.from(wasm.subarray(from, end)));
      continue;
    }
    const body = id === DATA ? shortMemory(wasm, start) : shortCode(wasm, start);
    out.push(Buffer.from([id]), unsigned(body.length), body);
  }
  return Buffer.concat(out);
}

/** @param {Uint8Array} wasm */
function* sections(wasm) {
  for (let at = 8; at < wasm.length; ) {
    const from = at;
    const [size, start] = readUnsigned(wasm, at + 1);
    at = start + size;
    yield { id: wasm[from], from, start, end: at };
  }
}
