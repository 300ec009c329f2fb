// Two phones that cannot hear each other do things that do not fit, and meet again.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";

test("two cooks out of reach work on the same tub; both deeds stay and the lead is told", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [anna, bea] = await kitchen.phones("anna", "bea");
  await anna.isHeldBy("Teo");
  await bea.isHeldBy("Teo");
  await Promise.all([anna.goes("/"), bea.goes("/")]);
  await allAgree([anna, bea]);
  const before = await anna.deviations();

  await anna.wifi.off();
  await bea.wifi.off();
  const tray = await anna.opens("tray");
  await anna.discards();
  await anna.isSavedIn("phone");
  await bea.goesWithin(`/hold`);
  await bea.counts(tray, "Sold 1");
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
