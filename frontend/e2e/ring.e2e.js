// Bells: heard on all, answered once, and honest about being late.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";
import { pause } from "./lib/server.js";

/** A kitchen in which nothing rings but a tub that is about to be at its best. */
async function quietKitchen(t, sleeper = false) {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("Maren");
  const teo = sleeper ? await kitchen.phoneThatSleeps("Teo") : await kitchen.phone("Teo");
  const ines = await kitchen.phone("Ines");
  for (const phone of [maren, teo, ines]) {
    await phone.isHeldBy(phone.name);
    await phone.goes("/");
  }
  for (const [place, degrees] of [
    ["fryer-1", 168],
    ["cabinet-1", 62],
    ["cold-room", 3],
  ])
    await maren.reads(place, degrees);
  return [maren, teo, ines];
}

test("a bell rings on every phone; one got it silences all and says who; undone, it rings again and calls the lead", async (t) => {
  const [maren, teo, ines] = await quietKitchen(t);
  const all = [maren, teo, ines];
  const tub = await maren.setsATub();
  for (const phone of all) await phone.hearsRing("Tub 1");
  await teo.says("Got it");
  for (const phone of all) await phone.isSilent("Tub 1");
  await ines.opensBatch(tub);
  await ines.sees(/Teo/);
  for (const phone of all) await phone.hearsRing("Tub 1", 40_000); // after the stage's patience of 20 s
  await ines.sees(/Maren/);
  for (const phone of all) phone.noFaults();
});

test("a phone that slept rings at once and says how late", async (t) => {
  const [maren, teo, ines] = await quietKitchen(t, true);
  await maren.setsATub();
  await teo.goes("/");
  await teo.isSavedIn("kitchen");
  await teo.counts();
  await pause(500);
  const before = await teo.ticks();
  assert.ok(before > 2, `it counts while it is awake: ${before}`);
  const kitchen = await maren.kitchenNow();
  await teo.sleeps();
  await ines.hearsRing("Tub 1");
  await pause(4000);
  const slept = (await maren.kitchenNow()) - kitchen;
  await teo.wakes();
  const ticked = (await teo.ticks()) - before;
  assert.ok(ticked < slept / 50 / 4, `it ticked ${ticked} times in ${slept} ms: it did not sleep`);
  await teo.hearsRing("Tub 1", 5000);
  const said = await teo.page.locator("[data-part=ring]").textContent();
  const late = Number(said.match(/(\d+)\s*s late/)?.[1]);
  assert.ok(late >= 4 && late <= slept / 1000, `"${said}" after a sleep of ${slept} ms`);
  for (const phone of [maren, teo, ines]) phone.noFaults();
});

test("a phone out of reach rings on its own, and its got it reaches the others later", async (t) => {
  const [maren, teo, ines] = await quietKitchen(t);
  await maren.setsATub();
  await maren.isSavedIn("kitchen");
  await allAgree([maren, teo]);
  await teo.wifi.off();
  await teo.hearsRing("Tub 1");
  await teo.says("Got it");
  await teo.isSilent("Tub 1");
  await teo.page.waitForFunction(() => Number(document.documentElement.dataset.waiting) >= 1); // the screen is silent before it is kept
  await ines.hearsRing("Tub 1");
  await teo.wifi.on();
  await ines.isSilent("Tub 1");
  await maren.isSilent("Tub 1");
});
