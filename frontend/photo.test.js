import assert from "node:assert/strict";
import { test } from "node:test";
import { fit } from "./photo.js";
import { postAll } from "./worker/post.js";

test("a photo's longer side becomes at most 1600 pixels, its shape stays", () => {
  assert.deepEqual(fit(4_000, 3_000), { width: 1_600, height: 1_200 });
  assert.deepEqual(fit(3_000, 4_000), { width: 1_200, height: 1_600 });
  assert.deepEqual(fit(640, 480), { width: 640, height: 480 });
  assert.deepEqual(fit(10_000, 1), { width: 1_600, height: 1 });
});

/** A shelf of photos, and a kitchen that answers from a list. */
function rig(photos, ...answers) {
  const it = { asked: [], left: new Map(photos) };
  globalThis.fetch = async (path, init) => {
    it.asked.push({ path, ...init });
    const next = answers.shift();
    if (next instanceof Error) throw next;
    return { ok: next < 400, status: next, json: async () => ({ hash: "h" }) };
  };
  it.shelf = {
    photos: async () => [...it.left.keys()],
    photo: async (hash) => it.left.get(hash),
    photoSent: async (hash) => void it.left.delete(hash),
  };
  return it;
}
const key = { device: "d1", key: "ab" };
const three = [
  ["a", new Uint8Array([1])],
  ["b", new Uint8Array([2])],
  ["c", new Uint8Array([3])],
];

test("photos that the kitchen took leave the shelf", async () => {
  const it = rig(three, 200, 200, 200);
  await postAll(it.shelf, key);
  assert.equal(it.left.size, 0);
  assert.equal(it.asked[0].headers.authorization, "Device d1 ab");
  assert.ok(it.asked[0].signal instanceof AbortSignal);
});

test("without a connection all wait; one that is refused does not hold up the others", async () => {
  const away = rig(three, new TypeError("no route"));
  await assert.rejects(postAll(away.shelf, key), /no route/);
  assert.equal(away.left.size, 3);
  const picky = rig(three, 200, 413, 200);
  await postAll(picky.shelf, key);
  assert.deepEqual([...picky.left.keys()], ["b"]);
});
