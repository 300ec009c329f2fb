// The whole flow by keyboard: Tab, Enter and the digits, no finger and no pointer.
import assert from "node:assert/strict";
import { test } from "node:test";
import { byKeys } from "./lib/keys.js";
import { Kitchen } from "./lib/kitchen.js";

test("a batch is carried on with the keyboard alone", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const phone = await kitchen.phone("Maren");
  await phone.goes("/who");
  await phone.tabsTo("button[data-do=crew]");
  await phone.presses("Enter");
  await phone.goes("/start/quick");
  await phone.presses("6");
  await phone.tabsTo("input.field");
  await phone.page.keyboard.type("KB-1");
  await phone.tabsTo("[data-do=start]");
  await phone.presses("Enter");
  await phone.tabsTo("a[href^='/batch/']");
  await phone.presses("Enter");
  await phone.sees("Warmest piece");
  await phone.tabsTo("li.now [data-do=step]");
  await phone.presses("Enter");
  await phone.presses("2");
  await phone.presses("Enter");
  await phone.sees("Water first");
  for (const _ of [1, 2]) {
    const key = await phone.stepNow();
    await phone.tabsTo("li.now [data-do=step]");
    await phone.presses("Enter");
    await phone.page.waitForFunction((old) => document.querySelector("li.now")?.getAttribute("data-key") !== old, key);
    await phone.page.waitForFunction(() => document.activeElement === (document.querySelector("li.now") ?? document.querySelector("main")));
  }
  await phone.tabsTo("[data-do=move]");
  await phone.presses("Enter");
  await phone.sees("Date mark, Tub 1");
  phone.noFaults();
});

test("a tub goes through every stage to the last piece sold with the keyboard alone", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = byKeys(await kitchen.phone("Maren"));
  await maren.isHeldBy("Maren");
  const tub = await maren.startsATub("quick", 6, "KB-2");
  await maren.doesTheSteps(2);
  await maren.movesOn();
  await maren.opensBatch(tub);
  await maren.waitsUntilReady();
  await maren.movesOn(); // drain
  await maren.doesTheSteps();
  await maren.waitsUntilReady();
  const [pan] = await maren.portions(); // coat
  await maren.opensBatch(pan);
  await maren.doesTheSteps();
  await maren.movesOn(); // set
  await maren.reads("fryer-1", 168);
  await maren.reads("cabinet-1", 62);
  await maren.opensBatch(pan);
  await maren.waitsUntilReady();
  const [load] = await maren.portions({ place: "fryer-1" });
  await maren.opensBatch(load);
  await maren.cooksIt(82);
  const [tray] = await maren.portions({ pieces: 40 });
  await maren.opensBatch(tray);
  await maren.doesTheSteps();
  await maren.movesOn(); // hold
  await maren.goesByLink("/hold");
  await maren.sells(tray, 40);
  await maren.goesWithin(`/batch/${tray}`);
  await maren.sees("Finished");
  assert.ok(maren.keys > 150, `${maren.keys} keys`);
  maren.noFaults();
});
