import assert from "node:assert/strict";
import { test } from "node:test";
import { savedNow } from "./saved.js";

const words = { store_none: "Not saved on this phone" };
const phone = { in: "phone", text: "On this phone: 3 waiting", waiting: 3 };

test("nothing is called saved while the shelf cannot keep it", () => {
  for (const id of ["store_full", "store_fail"]) {
    assert.deepEqual(savedNow(phone, new Set([id]), words), { in: "new", text: "Not saved on this phone", waiting: 3 });
  }
});

test("what the kitchen has is saved, and a shelf that works needs no words", () => {
  const kitchen = { in: "kitchen", text: "Saved in kitchen" };
  assert.equal(savedNow(kitchen, new Set(["store_full"]), words), kitchen);
  assert.equal(savedNow(phone, new Set(["starting"]), words), phone);
  assert.equal(savedNow(undefined, new Set(["store_full"]), words), undefined);
});
