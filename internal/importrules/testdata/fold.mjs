// Folds stored journals in core.wasm, its other parts beside it, and prints the hash of each state: node fold.mjs WASM_EXEC CORE_WASM JOURNAL...
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { wake } from "../../../frontend/worker/asleep.js";
import { Rest } from "../../../frontend/worker/rest.js";

const [loader, wasm, ...journals] = process.argv.slice(2);
(0, eval)(readFileSync(loader, "utf8"));
const go = new Go();
const { module, instance } = await WebAssembly.instantiate(readFileSync(wasm), go.importObject);
const get = async (name) => new WebAssembly.Module(readFileSync(join(dirname(wasm), `${name}.wasm`)));
for (const part of [new Rest("rest", { get }), new Rest("later", { name: "later", slot: 1, get })]) {
  part.expect(instance);
  await part.bring();
}
const { door } = wake(go, module, instance);

const header = (op) => JSON.stringify({ op, wall: 1_800_000_000_000, mono: 1, chance: "00".repeat(32), device: "phone1", key: "00" });

for (const path of journals) {
  fine(door.step(header("start"), new Uint8Array(readFileSync(path))));
  const state = fine(door.step(header("state"), null)).get("B");
  console.log(createHash("sha256").update(state).digest("hex"));
}
process.exit(0);

// Takes an answer apart by its tags, and stops at a fault.
function fine(answer) {
  const view = new DataView(answer.buffer, answer.byteOffset, answer.byteLength);
  const sections = new Map();
  for (let at = 0; at < answer.length; ) {
    const size = view.getUint32(at + 1, true);
    sections.set(String.fromCharCode(answer[at]), answer.subarray(at + 5, at + 5 + size));
    at += 5 + size;
  }
  if (sections.has("F")) throw new Error(Buffer.from(sections.get("F")).toString());
  return sections;
}
