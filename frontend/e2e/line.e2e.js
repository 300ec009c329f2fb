// The whole line: a tub becomes trays, and every phone sees it.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";

test("three phones take a tub through every stage to the last piece sold", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const [maren, teo, ines] = await kitchen.phones("Maren", "Teo", "Ines");
  await maren.isHeldBy("Maren");
  await teo.isHeldBy("Teo");
  await ines.isHeldBy("Ines");

  const tub = await maren.startsATub("quick", 6, "FR-2611");
  await maren.doesTheSteps(2);
  await maren.movesOn();
  await teo.sees("Too soon");
  await teo.opensBatch(tub);
  await teo.waitsUntilReady();
  await teo.movesOn(); // drain
  await teo.doesTheSteps();
  await teo.waitsUntilReady();
  const [pan] = await teo.portions(); // coat
  await teo.opensBatch(pan);
  await teo.doesTheSteps();
  await teo.movesOn(); // set
  await ines.goes("/");
  await ines.reads("fryer-1", 168);
  await ines.reads("cabinet-1", 62);
  await ines.opensBatch(pan);
  await ines.waitsUntilReady();
  const [load] = await ines.portions({ place: "fryer-1" });
  await ines.opensBatch(load);
  await ines.doesTheSteps(168);
  await ines.movesOn(); // cook
  await ines.waitsUntilReady();
  await ines.movesOn(); // release
  await ines.doesTheSteps(82);
  await ines.movesOn(); // rest over the oil
  await ines.waitsUntilReady();
  const [tray] = await ines.portions({ pieces: 40 });
  await ines.opensBatch(tray);
  await ines.doesTheSteps();
  await ines.movesOn(); // hold

  await maren.goes("/hold");
  await maren.sells(tray, 40);
  await teo.opensBatch(tray);
  await teo.sees("Finished");
  await allAgree([maren, teo, ines]);

  for (const ancestor of [load, pan, tub])
    assert.ok(await teo.page.locator(`a[href="/batch/${ancestor}"]`).isVisible(), "where it came from");
  await teo.opensBatch(tub);
  await teo.sees("FR-2611");
  assert.ok(await teo.page.locator(`a[href="/batch/${tray}"]`).isVisible(), "where it went to");
  for (const phone of [maren, teo, ines]) phone.noFaults();
  assert.equal((await kitchen.server.run("verify")).code, 0);
});
