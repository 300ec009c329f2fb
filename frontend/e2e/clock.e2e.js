// Nobody's clock is trusted, and all bells are booked for the same instant.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";
import { pause } from "./lib/server.js";

const hour = 3_600_000;

test("a phone whose clock is 26 hours ahead, and one 26 hours behind, work like any other", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const right = await kitchen.phone("right");
  const ahead = await kitchen.phone("ahead", { clockOff: 26 * hour });
  const behind = await kitchen.phone("behind", { clockOff: -26 * hour });
  const phones = [right, ahead, behind];
  for (const phone of phones) {
    await phone.isHeldBy("Teo");
    const off = (await phone.kitchenNow()) - Date.now();
    assert.ok(Math.abs(off) < 1000, `${phone.name}: kitchen time is off by ${off} ms`);
  }
  for (const phone of phones) {
    await phone.goes("/hold");
    const tray = await phone.firstTray();
    await phone.sellsOne(tray);
    await phone.isSavedIn("kitchen");
  }
  await allAgree(phones);
  for (const phone of phones) {
    const texts = await phone.page.locator(".clock").first().textContent();
    assert.equal(texts, await right.page.locator(".clock").first().textContent(), `${phone.name} shows the kitchen's time of day`);
    phone.noFaults();
  }
});

test("five phones book every bell within 25 ms of each other, 99 times of 100", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const phones = [];
  for (const [i, off] of [0, 2.5 * hour, -70_000, 26 * hour, -333].entries()) {
    phones.push(await kitchen.phone(`phone ${i}`, { clockOff: off }));
  }
  for (const phone of phones) await phone.isHeldBy("Teo");
  await pause(20_000); // sixteen samples of the clock, a second or more apart
  const spreads = [];
  for (let round = 0; round < 40; round++) {
    const booked = await Promise.all(phones.map((phone) => phone.bookedInstants()));
    for (const [key, first] of booked[0]) {
      const all = booked.map((each) => each.get(key));
      if (all.every((at) => at !== undefined)) spreads.push(Math.max(...all) - Math.min(...all));
      assert.ok(Number.isFinite(first));
    }
    await pause(250);
  }
  spreads.sort((a, b) => a - b);
  assert.ok(spreads.length >= 100, `only ${spreads.length} bells were booked on all five`);
  const p99 = spreads[Math.floor(spreads.length * 0.99)];
  t.diagnostic(`${spreads.length} instants: p50 ${spreads[spreads.length >> 1].toFixed(2)} ms, p99 ${p99.toFixed(2)} ms`);
  assert.ok(p99 <= 25, `p99 of the spread is ${p99} ms`);
});
