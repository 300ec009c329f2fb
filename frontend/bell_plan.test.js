import assert from "node:assert/strict";
import { test } from "node:test";
import { lengthOf, plan, render, SIGNALS, urgency } from "./bell_plan.js";

const bell = (key, at, level = "attention") => ({ key, at, level, say: `${key} now`, lang: "en" });
const T = 1_790_000_000_000;
const MIN = 60_000;
const brief = (bursts) => bursts.map(({ key, at }) => `${key}@${at - T}`);

test("a booked bell sounds at its own instant and goes on at its level's interval", () => {
  const bursts = plan({ now: [], book: [bell("a", T + 5_000)] }, T, T + 30_000);
  assert.deepEqual(brief(bursts), ["a@5000", "a@13000", "a@21000", "a@29000"]);
});

test("every device lays the same bursts, whenever it books them", () => {
  const ring = { now: [bell("a", T - 3 * MIN)], book: [bell("b", T + 20_000, "danger")] };
  const heard = new Set(["a"]);
  const early = plan(ring, T, T + MIN, 1, heard);
  for (const later of [1, 777, 3_000, 12_345]) {
    const again = plan(ring, T + later, T + MIN, 1, heard);
    assert.deepEqual(
      again,
      early.filter((b) => b.at >= T + later),
    );
  }
});

test("one sound at a time, whatever rings", () => {
  let seed = 7;
  const chance = (n) => {
    seed = (seed * 1_103_515_245 + 12_345) % 2 ** 31;
    return seed % n;
  };
  const levels = ["info", "attention", "danger"];
  for (let round = 0; round < 200; round++) {
    const bells = Array.from({ length: 1 + chance(8) }, (_, i) => bell(`k${i}`, T - 20_000 + chance(120_000), levels[chance(3)]));
    const ring = { now: bells.filter((b) => b.at <= T), book: bells.filter((b) => b.at > T) };
    const bursts = plan(ring, T, T + 3 * MIN);
    for (let i = 1; i < bursts.length; i++) assert.ok(bursts[i].at >= bursts[i - 1].end, `round ${round}`);
    const sounded = new Set(bursts.map((b) => b.key));
    for (const { key } of bells) assert.ok(sounded.has(key), `round ${round}: ${key} was lost`);
  }
});

test("the most urgent sounds first and at every other turn, the others between", () => {
  const ring = { now: [bell("tray", T - MIN, "danger"), bell("tub", T - 2 * MIN), bell("list", T - 3 * MIN, "info")], book: [] };
  const bursts = plan(ring, T, T + 30_000, 1, new Set(["tray", "tub", "list"]));
  assert.deepEqual(bursts.map((b) => b.key).slice(0, 6), ["tray", "tub", "tray", "list", "tray", "tub"]);
});

test("a more urgent bell cuts short what sounds; a lesser one waits for its turn", () => {
  const ring = { now: [], book: [bell("tub", T), bell("tray", T + 400, "danger"), bell("list", T + 900, "info")] };
  const [tub, tray, ...rest] = plan(ring, T, T + 30_000);
  assert.equal(tub.end, T + 400);
  assert.deepEqual([tray.key, tray.at], ["tray", T + 400]);
  assert.ok(rest.some((b) => b.key === "list"));
  assert.ok(rest.every((b) => b.at >= tray.end));
});

test("a device that wakes owes what it slept through: it sounds at once, most urgent first", () => {
  const ring = { now: [bell("tub", T - 40_000), bell("tray", T - 10_000, "danger")], book: [] };
  const [first] = plan(ring, T + 1_234, T + MIN);
  assert.deepEqual([first.key, first.at, first.turn], ["tray", T + 1_234, -1]);
  const [grid] = plan(ring, T + 1_234, T + MIN, 1, new Set(["tub", "tray"]));
  assert.ok(grid.at > T + 1_234);
});

test("in a demonstration at 60x the pauses stay real seconds", () => {
  const bursts = plan({ now: [], book: [bell("a", T, "danger")] }, T, T + 60 * 30_000, 60);
  assert.equal(bursts[1].at - bursts[0].at, 60 * SIGNALS.danger.every);
});

test("nothing rings, nothing sounds; a bell beyond the horizon waits", () => {
  assert.deepEqual(plan({ now: [], book: [] }, T, T + MIN), []);
  assert.deepEqual(plan({ now: [], book: [bell("a", T + 2 * MIN)] }, T, T + MIN), []);
});

test("a bell that is in both lists sounds once at its instant", () => {
  const bursts = plan({ now: [bell("a", T)], book: [bell("a", T)] }, T, T + 5_000);
  assert.deepEqual(brief(bursts), ["a@0"]);
});

test("urgency: level, then who has waited longest, then the key", () => {
  const sorted = [bell("c", T, "info"), bell("b", T), bell("a", T), bell("z", T - 1), bell("d", T + 9, "danger")].sort(urgency);
  assert.deepEqual(
    sorted.map((b) => b.key),
    ["d", "z", "a", "b", "c"],
  );
});

// IEC 60601-1-8 Tables 3 and 4, figures from memory (facts table 12): high 10 pulses of 75-200 ms, bursts 2.5-15 s apart;
// medium 3 pulses of 125-250 ms spaced 125-250 ms, 2.5-30 s apart; low 1 or 2 pulses, more than 15 s apart.
test("signals keep to the pulse ranges and differ by rhythm", () => {
  const within = (values, low, high) => values.every((v) => v >= low && v <= high);
  const on = (level) => SIGNALS[level].pulses.map((p) => p.on);
  const pause = (level) => SIGNALS[level].every - lengthOf(level);
  assert.equal(SIGNALS.danger.pulses.length, 10);
  assert.ok(within(on("danger"), 75, 200));
  assert.ok(within([pause("danger")], 2_500, 15_000));
  assert.equal(SIGNALS.attention.pulses.length, 3);
  assert.ok(within(on("attention"), 125, 250));
  assert.ok(
    within(
      SIGNALS.attention.pulses.slice(0, -1).map((p) => p.gap),
      125,
      250,
    ),
  );
  assert.ok(within([pause("attention")], 2_500, 30_000));
  assert.equal(SIGNALS.info.pulses.length, 2);
  assert.ok(within(on("info"), 125, 250));
  assert.ok(pause("info") > 15_000);
});

// ISO 7731, from memory (facts table 12): main components 500-2500 Hz, enough of them below 1500 Hz.
test("main tones lie between 500 and 1500 Hz", () => {
  for (const { pulses } of Object.values(SIGNALS)) for (const { hertz } of pulses) assert.ok(hertz >= 500 && hertz <= 1_000);
});

test("rendered signals are loud, never clip, and are silent between pulses", () => {
  const rate = 8_000;
  for (const level of Object.keys(SIGNALS)) {
    const samples = render(level, rate);
    const peak = samples.reduce((most, s) => Math.max(most, Math.abs(s)), 0);
    assert.ok(peak > 0.5 && peak <= 1, `${level} ${peak}`);
    const { on, gap } = SIGNALS[level].pulses[0];
    const middle = Math.round(((on + gap / 2) / 1000) * rate);
    assert.equal(samples[middle], 0);
  }
});

/** How much of a tone is in samples. @param {Float32Array} samples @param {number} hertz @param {number} rate */
function share(samples, hertz, rate) {
  let [re, im] = [0, 0];
  samples.forEach((s, i) => {
    re += s * Math.cos((2 * Math.PI * hertz * i) / rate);
    im += s * Math.sin((2 * Math.PI * hertz * i) / rate);
  });
  return Math.hypot(re, im) / samples.length;
}

test("practice keeps the rhythm and has another voice: an octave lower, struck and gone", () => {
  const rate = 16_000;
  for (const level of Object.keys(SIGNALS)) {
    const [real, pretend] = [render(level, rate), render(level, rate, true)];
    assert.equal(pretend.length, real.length);
    assert.ok(pretend.every((s) => Math.abs(s) <= 1));
    const [{ on, gap, hertz }] = SIGNALS[level].pulses;
    const size = Math.round((on / 1000) * rate);
    const loud = (samples, from, to) => samples.slice(size * from, size * to).reduce((most, s) => Math.max(most, Math.abs(s)), 0);
    assert.ok(loud(pretend, 0, 0.25) > 0.4, level);
    assert.ok(loud(pretend, 0.75, 1) < 0.5 * loud(pretend, 0, 0.25), `${level} does not die away`);
    assert.ok(loud(real, 0.6, 0.75) > 0.8 * loud(real, 0.2, 0.4), `${level}: an alarm stands`);
    assert.equal(pretend[Math.round(((on + gap / 2) / 1000) * rate)], 0);
    const pulse = pretend.slice(0, size);
    assert.ok(share(pulse, hertz / 2, rate) > 3 * share(pulse, hertz, rate), `${level} sounds like the alarm`);
    assert.ok(share(real.slice(0, size), hertz, rate) > 3 * share(real.slice(0, size), hertz / 2, rate));
  }
});
