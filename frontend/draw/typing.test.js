import assert from "node:assert/strict";
import { test } from "node:test";
import { answered, answerOf } from "./asked.js";
import { Drafts, withField } from "./drafts.js";
import { pressed } from "./keypad.js";

/** @param {string} keys @param {any} [how] */
const typed = (keys, how) => [...keys].reduce((text, key) => pressed(text, key === "<" ? "erase" : key, how), "");

test("the pad makes numbers and nothing else", () => {
  assert.equal(typed("74.5"), "74.5");
  assert.equal(typed("74..5"), "74.5");
  assert.equal(typed(".5"), "0.5");
  assert.equal(typed("007"), "7");
  assert.equal(typed("12<3"), "13");
  assert.equal(typed("<"), "");
  assert.equal(typed("1234567890123"), "123456789");
  assert.equal(typed("4.5", { whole: true }), "45");
  assert.equal(typed("-4"), "4");
  assert.equal(typed("18-", { signed: true }), "-18");
  assert.equal(typed("18--", { signed: true }), "18");
  assert.equal(typed("-.5", { signed: true }), "-0.5");
});

test("a typed number goes as it was typed, once it is one", () => {
  const ask = /** @type {any} */ ({ kind: "number", name: "typed" });
  for (const text of ["74.5", "-2.1", "77."]) assert.equal(answerOf(ask, text), text);
  for (const text of ["", "-", "."]) assert.equal(answerOf(ask, text), null);
});

test("an answer goes into the command under its name, and the question is gone", () => {
  const button = /** @type {any} */ ({ label: "x", do: { do: "reading", place: "cold room" }, ask: { kind: "number", name: "value" } });
  const it = answered(button, 3400);
  assert.deepEqual(it.do, { do: "reading", place: "cold room", value: 3400 });
  assert.equal(it.ask, undefined);
  assert.deepEqual(button.do, { do: "reading", place: "cold room" });
  assert.equal(answerOf(/** @type {any} */ ({ kind: "text" }), "  "), null);
});

test("what is typed stands in the address", () => {
  assert.equal(withField("/start/bone-in", "g", "27.6"), "/start/bone-in?g=27.6");
  assert.equal(withField("/start/bone-in?g=2&lots=A1", "g", "27"), "/start/bone-in?g=27&lots=A1");
  assert.equal(withField("/start/bone-in?g=2", "g", ""), "/start/bone-in");
  assert.equal(withField("/timer/new", "name", "rack & pans"), "/timer/new?name=rack+%26+pans");
});

test("the newest text is shown until the core has drawn it, keys typed faster than that included", () => {
  const sent = /** @type {string[]} */ ([]);
  const page = /** @type {any} */ ({
    screen: { path: "/start/x" },
    hands: { draft: (/** @type {string} */ path) => sent.push(path) },
    redraw() {},
  });
  const drafts = new Drafts();
  drafts.type("g", "2", page);
  drafts.type("g", "27", page);
  assert.deepEqual(sent, ["/start/x?g=2", "/start/x?g=27"]);
  drafts.arrived("/start/x?g=2");
  assert.equal(drafts.text("g", "2"), "27");
  drafts.arrived("/start/x?g=27");
  assert.equal(drafts.text("g", "27"), "27");
  assert.equal(drafts.ahead, null);
  drafts.type("g", "275", page);
  drafts.arrived("/");
  assert.equal(drafts.text("g", ""), "");
});
