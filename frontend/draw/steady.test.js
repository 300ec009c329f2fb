import assert from "node:assert/strict";
import { test } from "node:test";
import { held, inOrder, sameOrder } from "./steady.js";
import { labelOf, Offer } from "./undo.js";

const strip = (/** @type {string} */ key, more = {}) => ({ p: "strip", key, ...more });
const group = (/** @type {string} */ title) => ({ p: "group", title });
const shape = (/** @type {any[]} */ all) => all.map((it) => `${it.part.key ?? it.part.title}${it.gone ? " gone" : ""}`);

test("without a hand on it the line stands as the core wants it", () => {
  assert.deepEqual(shape(inOrder([group("Now"), strip("a"), strip("b")])), ["Now", "a", "b"]);
});

test("under a hand strips keep their places, whatever the core now thinks of their order", () => {
  const shown = inOrder([group("Now"), strip("a"), group("Later"), strip("b"), strip("c")]);
  const next = [group("Now"), strip("c", { name: "new" }), strip("b"), group("Later"), strip("a")];
  const it = held(shown, next);
  assert.deepEqual(shape(it), ["Now", "a", "Later", "b", "c"]);
  assert.equal(it[4].part.name, "new");
  assert.equal(sameOrder(it, inOrder(next)), false);
});

test("what is done leaves its place standing, so that the next one does not slide under the finger", () => {
  const shown = inOrder([group("Now"), strip("a"), strip("b")]);
  assert.deepEqual(shape(held(shown, [group("Now"), strip("b")])), ["Now", "a gone", "b"]);
  assert.deepEqual(shape(held(held(shown, [group("Now"), strip("b")]), [group("Now"), strip("b")])), ["Now", "a gone", "b"]);
});

test("what is new waits at the end of the strips", () => {
  const shown = inOrder([strip("a"), { p: "buttons", actions: [] }]);
  assert.deepEqual(
    held(shown, [strip("z"), strip("a"), { p: "buttons", actions: [] }]).map((it) => it.part.key ?? it.part.p),
    ["a", "z", "buttons"],
  );
});

test("a screen of steps is not held: it answers a tap at once", () => {
  const shown = inOrder([{ p: "head", name: "Fryer 1" }, { p: "buttons" }]);
  const next = [
    { p: "head", name: "Fryer 1" },
    { p: "step", key: "a" },
  ];
  assert.deepEqual(held(shown, next), inOrder(next));
});

test("two parts of the same kind and no name are two parts", () => {
  const ids = inOrder([group("Now"), group("Now"), { p: "note" }, { p: "note" }]).map((it) => it.id);
  assert.equal(new Set(ids).size, 4);
});

test("an undo is offered for its ten seconds, pauses left out", () => {
  const offer = new Offer({ text: "", label: "", until: 10_000, do: {} }, 0);
  assert.equal(offer.pass(4000, false), 6000);
  assert.equal(offer.pass(9000, true), 6000);
  assert.equal(offer.pass(10_000, false), 5000);
  assert.equal(offer.pass(18_000, true), 5000);
  assert.ok(offer.pass(25_000, true) < 0, "beyond what the core allows a pause ends");
  assert.equal(labelOf("Undo {0} s", 5), "Undo 5 s");
  assert.equal(labelOf("Undo", 5), "Undo 5\u00a0s");
});
