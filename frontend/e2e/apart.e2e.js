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

test("two cooks out of reach take the same tub out into pans: both counts stand, and the lead is told how much is too much", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const [anna, bea] = await kitchen.phones("Teo", "Ines");
  await anna.isHeldBy("Teo");
  await bea.isHeldBy("Ines");
  const tub = await anna.startsATub("quick", 6, "FR-1");
  await anna.doesTheSteps(2);
  await anna.movesOn();
  await anna.opensBatch(tub); // it leads to its date mark
  await anna.waitsUntilReady();
  await anna.movesOn();
  await anna.doesTheSteps();
  await anna.waitsUntilReady();
  await anna.isSavedIn("kitchen");
  await allAgree([anna, bea]);

  await anna.wifi.off();
  await bea.wifi.off();
  for (const [cook, pans] of [
    [anna, 2],
    [bea, 1],
  ]) {
    await cook.goesWithin(`/portion/${tub}?at=n`);
    await cook.types(pans);
    await cook.does("portion", cook.page.locator("main"));
    await cook.isSavedIn("phone");
  }
  await anna.wifi.on();
  await bea.wifi.on();
  await Promise.all([anna.isSavedIn("kitchen"), bea.isSavedIn("kitchen")]);
  await allAgree([anna, bea]);
  await anna.goesWithin("/deviations");
  await anna.sees("Two open batches are called Pan 1");
  await anna.taps("Tub 1 was taken out twice: 6.0 kg a second time");
  await anna.sees("so there is too much on record.");
  await anna.sees("Discard what is not, or correct the wrong entry.");
  await anna.looks("deviation.twice.en");
  await anna.taps("Open Tub 1");
  await anna.sees("Used up");
  await anna.doesNotSee("Pick-up"); // twice what went in came out: no yield can be told
  anna.noFaults();
  bea.noFaults();
});
