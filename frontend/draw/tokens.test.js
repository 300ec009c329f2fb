// Every colour pair of the look holds its contrast, in both faces, and the style sheet carries exactly these colours.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

const read = (/** @type {string} */ path) => readFileSync(new URL(path, import.meta.url), "utf8");
const tokens = JSON.parse(read("tokens.json"));
const faces = ["day", "night"];

const rgb = (/** @type {string} */ hex) => [1, 3, 5].map((i) => Number.parseInt(hex.slice(i, i + 2), 16) / 255);
const linear = (/** @type {number} */ c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);

/** Relative luminance: WCAG 2.2, glossary. @param {string} hex */
function luminance(hex) {
  const [r, g, b] = rgb(hex).map(linear);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

/** Contrast ratio: WCAG 2.2, glossary. @param {string} a @param {string} b */
function contrast(a, b) {
  const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (light + 0.05) / (dark + 0.05);
}

test("the formula gives the published ratios", () => {
  const rows = read("../../testdata/published/contrast_check_values.csv").trim().split("\n").slice(1);
  assert.ok(rows.length >= 11);
  for (const row of rows) {
    const [front, ground, ratio] = row.split(",");
    assert.ok(
      Math.abs(contrast(front, ground) - Number(ratio)) < 0.0005,
      `${front} on ${ground}: ${contrast(front, ground)}, published ${ratio}`,
    );
  }
});

test("text holds 7:1 and drawn things 3:1 in both faces", () => {
  for (const face of faces) {
    const pretend = { ...tokens[face], ...tokens.practice[face] };
    for (const [kind, least] of /** @type {[string, number][]} */ ([
      ["text7", 7],
      ["graphic3", 3],
    ])) {
      holds(face, tokens[face], tokens.pairs[kind], least);
      holds(`practice, ${face}`, pretend, [...tokens.pairs[kind], ...tokens.practice.pairs[kind]], least);
    }
  }
});

/** @param {string} face @param {Record<string, string>} set @param {[string, string][]} pairs @param {number} least */
function holds(face, set, pairs, least) {
  for (const [front, ground] of pairs) {
    const ratio = contrast(set[front], set[ground]);
    assert.ok(ratio >= least, `${face}: ${front} on ${ground} has ${ratio.toFixed(2)}, needs ${least}`);
  }
}

// Full dichromacy, matrices of Machado, Oliveira and Fernandes 2009 (from memory); distance in CIELAB 1976.
const sights = /** @type {Record<string, number[][]>} */ ({
  protan: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deutan: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritan: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
  full: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
});

/** @param {number[]} v linear RGB */
function lab(v) {
  const [r, g, b] = v.map((c) => Math.min(1, Math.max(0, c)));
  const f = (/** @type {number} */ t) => (t > 0.008856 ? Math.cbrt(t) : 7.787 * t + 16 / 116);
  const x = f((0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047);
  const y = f(0.2126 * r + 0.7152 * g + 0.0722 * b);
  const z = f((0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883);
  return [116 * y - 16, 500 * (x - y), 200 * (y - z)];
}

/** @param {string} hex @param {number[][]} sight */
function seen(hex, sight) {
  const v = rgb(hex).map(linear);
  return lab(sight.map((row) => row.reduce((sum, k, i) => sum + k * v[i], 0)));
}

test("neighbouring states stay apart for people who see fewer colours", () => {
  const states = tokens.pairs.tellapart;
  for (const face of faces) {
    for (const [sight, matrix] of Object.entries(sights)) {
      for (let i = 0; i + 1 < states.length; i++) {
        const [a, b] = [seen(tokens[face][states[i]], matrix), seen(tokens[face][states[i + 1]], matrix)];
        const distance = Math.hypot(...a.map((x, k) => x - b[k]));
        assert.ok(distance >= 20, `${face}, ${sight}: ${states[i]} and ${states[i + 1]} are ${distance.toFixed(1)} apart, need 20`);
      }
    }
  }
});

/** The blocks of a style sheet that set colours, in order. @param {string} css */
const blocks = (css) => [...css.matchAll(/color-scheme: (light|dark);([^}]*)/g)].map(([, scheme, body]) => ({ scheme, body }));

test("the style sheet carries exactly these colours, wherever it sets them", () => {
  const all = blocks(read("css/tokens.css"));
  assert.deepEqual(
    all.map((block) => block.scheme),
    ["light", "dark", "dark", "light"],
  );
  for (const { scheme, body } of all) {
    const set = Object.fromEntries(
      [...body.matchAll(/--([a-z0-9-]+): (#[0-9a-f]{6});/gi)].map(([, name, value]) => [name, value.toUpperCase()]),
    );
    assert.deepEqual(set, tokens[scheme === "light" ? "day" : "night"]);
  }
});

test("the style sheet of practice carries exactly its own colours, and names no other", () => {
  const css = read("css/practice.css");
  const setIn = (/** @type {string} */ body) =>
    Object.fromEntries([...body.matchAll(/--([a-z0-9-]+): (#[0-9a-f]{6});/gi)].map(([, name, value]) => [name, value.toUpperCase()]));
  const all = [...css.matchAll(/:root\[data-mode="practice"\]([^{,]*)\{([^}]*)\}/g)].map(([, how, body]) => ({
    how: how.trim(),
    set: setIn(body),
  }));
  const faced = all.filter(({ set }) => Object.keys(set).length);
  assert.deepEqual(
    faced.map(({ how }) => how),
    ["", ':not([data-face="day"])', '[data-face="night"]'],
  );
  assert.deepEqual(
    faced.map(({ set }) => set),
    [tokens.practice.day, tokens.practice.night, tokens.practice.night],
  );
  const named = (css.match(/#[0-9a-fA-F]{3,8}\b|rgb\(/g) ?? []).length;
  assert.equal(named, 3 * Object.keys(tokens.practice.day).length);
});

test("no other style sheet names a colour of its own, but paper that is printed and the veil", () => {
  const allowed = new Set(["#fff", "#000", "rgb(7 13 14 / 0.62)"]);
  for (const name of ["base", "standing", "strips", "sheets", "pad", "ring", "mark", "wall", "print", "forced"]) {
    for (const [found] of read(`css/${name}.css`).matchAll(/#[0-9a-fA-F]{3,8}\b(?=[;,\s)])|rgb\([^)]*\)/g)) {
      assert.ok(allowed.has(found), `${name}.css names ${found}`);
    }
  }
});
