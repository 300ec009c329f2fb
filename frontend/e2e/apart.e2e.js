// Two phones that cannot hear each other do things that do not fit, and meet again.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";

test("one cook discards a tray, another sells from it, neither in reach: it is discarded, and the lead is told", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [anna, bea] = await kitchen.phones("anna", "bea");
  await anna.isHeldBy("Teo");
  await bea.isHeldBy("Teo");
  await anna.goes("/hold");
  await allAgree([anna, bea]);
  const tray = await anna.firstTray();
  const before = await bea.deviations();

  await anna.wifi.off();
  await bea.wifi.off();
  await anna.discards(tray);
  await anna.isSavedIn("phone");
  await bea.goesWithin(`/hold`);
  await bea.sellsOne(tray);
  await bea.isSavedIn("phone");
  assert.notEqual(await anna.state(), await bea.state());

  await anna.wifi.on();
  await bea.wifi.on();
  await Promise.all([anna.isSavedIn("kitchen"), bea.isSavedIn("kitchen")]);
  await allAgree([anna, bea]);
  await bea.goesWithin(`/batch/${tray}`);
  await bea.sees("Discarded");
  assert.ok((await bea.deviations()) > before, "a contradiction opens a deviation");
  anna.noFaults();
  bea.noFaults();
});

test("two cooks out of reach drain the same tub: it is drained once, and the lead is told", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const [anna, bea] = await kitchen.phones("Teo", "Ines");
  await anna.isHeldBy("Teo");
  await bea.isHeldBy("Ines");
  const tub = await anna.startsATub("quick", 6, "FR-1");
  await anna.doesTheSteps(2);
  await anna.movesOn();
  await bea.opensBatch(tub);
  await bea.waitsUntilReady();
  await anna.isSavedIn("kitchen");
  await allAgree([anna, bea]);

  await anna.wifi.off();
  await bea.wifi.off();
  await anna.opensBatch(tub);
  await anna.waitsUntilReady();
  await anna.movesOn();
  await anna.page.waitForTimeout(11_000); // within ten seconds two who say the same are one
  await bea.movesOn();
  await anna.wifi.on();
  await bea.wifi.on();
  await Promise.all([anna.isSavedIn("kitchen"), bea.isSavedIn("kitchen")]);
  await allAgree([anna, bea]);
  assert.equal(await anna.deviations(), 1);
  await anna.opensBatch(tub);
  await anna.sees("was moved twice");
  anna.noFaults();
  bea.noFaults();
});
