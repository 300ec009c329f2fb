// Bells: heard on all, answered once, and honest about being late.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { pause } from "./lib/server.js";

test("a bell rings on every phone, one got it silences all and says who", async (t) => {
  const kitchen = await Kitchen.demo(t, 10);
  const [anna, bea, cid] = await kitchen.phones("anna", "bea", "cid");
  await anna.isHeldBy("Jun");
  await bea.isHeldBy("Teo");
  await cid.isHeldBy("Maren");
  for (const phone of [anna, bea, cid]) await phone.silences();
  await anna.setsATimer("rice", 1);
  for (const phone of [anna, bea, cid]) await phone.hearsRing("rice");
  await bea.says("Got it");
  for (const phone of [anna, bea, cid]) await phone.isSilent("rice");
  await anna.goes("/timers");
  await anna.sees("Teo");
  for (const phone of [anna, bea, cid]) phone.noFaults();
});

test("a phone that slept rings at once and says how late", async (t) => {
  const kitchen = await Kitchen.demo(t, 10);
  const [anna, bea] = await kitchen.phones("anna", "bea");
  await anna.isHeldBy("Jun");
  await bea.isHeldBy("Teo");
  for (const phone of [anna, bea]) await phone.silences();
  await anna.setsATimer("rice", 1);
  await bea.sees("rice");
  await bea.sleeps();
  await anna.hearsRing("rice");
  await pause(3000);
  await bea.wakes();
  await bea.hearsRing("rice");
  await bea.sees(/late/i);
});

test("a phone out of reach rings on its own", async (t) => {
  const kitchen = await Kitchen.demo(t, 10);
  const anna = await kitchen.phone("anna");
  await anna.isHeldBy("Teo");
  await anna.silences();
  await anna.wifi.off();
  await anna.setsATimer("rice", 1);
  await anna.hearsRing("rice");
  await anna.says("Got it");
  await anna.isSilent("rice");
  assert.ok((await anna.saved()).waiting >= 2);
});
