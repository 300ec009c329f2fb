// The code that is drawn is read back by a decoder, from the same path that the page draws.
import assert from "node:assert/strict";
import { test } from "node:test";
import decodeQR from "qr/decode.js";
import { code } from "./qrcode.js";

/** Paints a path of horizontal bars as pixels. @param {{size: number, path: string}} it @param {number} scale */
function painted(it, scale) {
  const quiet = 4;
  const side = (it.size + 2 * quiet) * scale;
  const data = new Uint8ClampedArray(side * side * 4).fill(255);
  for (const [, x, y, w] of it.path.matchAll(/M(\d+) (\d+)h(\d+)v1/g)) {
    for (let dy = 0; dy < scale; dy++) {
      for (let dx = 0; dx < Number(w) * scale; dx++) {
        const at = (((Number(y) + quiet) * scale + dy) * side + (Number(x) + quiet) * scale + dx) * 4;
        data.fill(0, at, at + 3);
      }
    }
  }
  return { width: side, height: side, data };
}

test("what is drawn reads back as what was meant", () => {
  for (const text of ["7K3M", "http://192.168.1.20:8080/join?code=7K3M9P", "Tina 3, piña y ñame"]) {
    assert.equal(decodeQR(painted(code(text), 4)), text);
  }
});

test("a batch's short code needs no more than 21 modules, so that a label has room for its quiet zone", () => {
  assert.equal(code("7K3M").size, 21);
});
