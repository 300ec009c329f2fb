import assert from "node:assert/strict";
import { test } from "node:test";
import { called, count } from "./count.mjs";

// (module (func (export "a") (call 1)) (func) (func (export "c") (local i32)))
// biome-ignore format: bytes
const THREE = Uint8Array.of(
  0, 97, 115, 109, 1, 0, 0, 0,
  1, 4, 1, 96, 0, 0,
  3, 4, 3, 0, 0, 0,
  6, 6, 1, 127, 1, 65, 7, 11,
  7, 9, 2, 1, 97, 0, 0, 1, 99, 0, 2,
  10, 14, 3, 4, 0, 16, 1, 11, 2, 0, 11, 4, 1, 1, 127, 11,
);

test("a module notes which of its functions were called, and by whomever", () => {
  assert.ok(WebAssembly.validate(THREE));
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(count(THREE)));
  const hits = () => [0, 1, 2].map((i) => /** @type {any} */ (exports)[called(i)].value);
  assert.deepEqual(hits(), [0, 0, 0]);
  /** @type {any} */ (exports).a();
  assert.deepEqual(hits(), [1, 1, 0]);
  /** @type {any} */ (exports).c();
  assert.deepEqual(hits(), [1, 1, 1]);
});
