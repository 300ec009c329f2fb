// Makes a module note which of its functions were called, each in a global of its own: what a start calls is measured with it.
import { localsOf } from "./code.mjs";
import { unsigned } from "./leb.mjs";
import { more, named, open, SECTION, section, sections, sized } from "./module.mjs";

const GLOBAL = 3; // what is exported
const ZERO = Buffer.from([0x7f, 1, 0x41, 0, 0x0b]); // a global that can change: i32 0

/** The name under which a module exports whether a function was called. @param {number} i its place among those with bodies */
export const called = (i) => `called${i}`;

/** @param {Uint8Array} wasm */
export function count(wasm) {
  const { globals, bodies } = open(wasm);
  const one = (/** @type {number} */ i) => unsigned(globals.length + i);
  const out = [Buffer.from(wasm.subarray(0, 8))];
  for (const { id, start, end } of sections(wasm)) {
    const body = wasm.subarray(start, end);
    const exported = (/** @type {unknown} */ _, /** @type {number} */ i) =>
      Buffer.concat([named(called(i)), Buffer.from([GLOBAL]), one(i)]);
    if (id === SECTION.global)
      out.push(
        section(
          id,
          more(
            body,
            bodies.map(() => ZERO),
          ),
        ),
      );
    else if (id === SECTION.export) out.push(section(id, more(body, bodies.map(exported))));
    else if (id === SECTION.code) {
      const list = bodies.map(({ start, end }, i) => {
        const { code } = localsOf(wasm, start);
        return sized(Buffer.concat([wasm.subarray(start, code), Buffer.from([0x41, 1, 0x24]), one(i), wasm.subarray(code, end)]));
      });
      out.push(section(id, Buffer.concat([unsigned(list.length), ...list])));
    } else out.push(section(id, body));
  }
  return Buffer.concat(out);
}
