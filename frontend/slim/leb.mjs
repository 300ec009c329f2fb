// Numbers as WebAssembly writes them: seven bits a byte, the low ones first (LEB128).

/** @param {Uint8Array} bytes @param {number} at @returns {[number, number]} the number, and where it ends */
export function readUnsigned(bytes, at) {
  let value = 0;
  for (let scale = 1; ; scale *= 128) {
    const byte = bytes[at++];
    value += (byte & 127) * scale;
    if (byte < 128) return [value, at];
  }
}

/** @param {Uint8Array} bytes @param {number} at @returns {[number, number]} */
export function readSigned(bytes, at) {
  const [value, end] = readUnsigned(bytes, at);
  const bits = 7 * (end - at);
  return [bytes[end - 1] & 64 ? value - 2 ** bits : value, end];
}

/** @param {number} value */
export function unsigned(value) {
  const out = [];
  for (; value > 127; value = Math.floor(value / 128)) out.push((value % 128) | 128);
  return Buffer.from([...out, value]);
}

/** @param {number} value not negative: an address */
export function signed(value) {
  const out = [];
  for (; value > 63; value = Math.floor(value / 128)) out.push((value % 128) | 128);
  return Buffer.from([...out, value]);
}

/** @param {bigint} value of either sign */
export function constant(value) {
  const out = [];
  for (; value > 63n || value < -64n; value >>= 7n) out.push(Number(value & 127n) | 128);
  return Buffer.from([...out, Number(value & 127n)]);
}
