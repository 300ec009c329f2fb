import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { fallback, wordsOf } from "./words.js";

test("the core has every word of the page, in both languages, with the same places to fill", () => {
  for (const lang of ["en", "es"]) {
    const words = JSON.parse(readFileSync(new URL(`../fixtures/words.${lang}.json`, import.meta.url), "utf8"));
    for (const [key, text] of Object.entries(fallback)) {
      assert.ok(words[key], `${lang} lacks ${key}`);
      const places = (/** @type {string} */ it) => (it.match(/\{\d\}/g) ?? []).sort();
      assert.deepEqual(places(words[key]), places(text), `${lang} ${key}`);
    }
  }
});

test("a word is filled, and an unknown one shows its name rather than nothing", () => {
  const word = wordsOf({ stepOf: "paso {0} de {1}" });
  assert.equal(word("stepOf", 2, 7), "paso 2 de 7");
  assert.equal(word("skip"), "Skip to the work");
  assert.equal(word("nosuch"), "nosuch");
});
