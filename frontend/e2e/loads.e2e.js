// Loads: what goes into a fryer, out of which pans, and what keeps it out.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

test("a fryer is not loaded unread, off its limit, with a stale reading, while busy, or before its rest is over", async (t) => {
  const kitchen = await Kitchen.quick(t, { fryer: { between: "PT12S", every: "PT40S" } });
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  const [first, second] = await maren.setsPans(11, 2);
  const [one, other] = [await maren.nameOf(first), await maren.nameOf(second)];
  const loads = () => maren.goesWithin(`/load/fryer-1?from=${first}`);
  const act = maren.page.locator("main [data-do=portion]:not(.quiet)"); // a lead's override stands there as a quiet one
  const cannotLoad = async () => assert.equal(await act.count(), 0, await maren.text());

  await loads();
  await maren.sees("Fryer 1 has not been read yet");
  await cannotLoad();
  await maren.taps("Read it now");
  await maren.types("150");
  await maren.sees("14.0 °C under the limit");
  await maren.does("reading");
  await loads();
  await maren.sees("Fryer 1: 150.0 °C is 14.0 °C under the limit");
  await maren.sees("164.0 to 174.0 °C");
  await cannotLoad();

  await maren.reads("fryer-1", 168);
  await loads();
  await maren.types("4");
  await maren.sees("Load a fryer");
  await maren.page.waitForTimeout(41_000); // the reading grows old while the cook looks at the form
  await maren.sees(/Fryer 1 was last read \d+\ss ago/);
  await cannotLoad();

  await maren.reads("fryer-1", 168);
  await loads();
  await maren.types("4"); // of the 5.5 kg in the pan
  const before = await maren.batchesOf("/");
  await maren.does("portion", maren.page.locator("main"));
  const [load] = await maren.newBatches(before);
  await maren.opensBatch(load);
  await maren.sees("4.0 kg");
  await maren.opensBatch(first);
  await maren.sees("1.5 kg");
  await maren.sees(/Went to Load 1/);

  await maren.goesWithin(`/portion/${second}`);
  await maren.sees("Fryer 1 already holds Load 1");
  await cannotLoad();

  await maren.opensBatch(load);
  await maren.cooksIt(82);
  await maren.portions({ pieces: 20 });
  await maren.reads("fryer-1", 168);
  await loads();
  await maren.sees(/needs \d+\ss more between loads/);
  await cannotLoad();
  await act.waitFor({ timeout: 15_000 }); // it may be loaded as soon as it may

  // filled up from the second pan: both are named, with what each gave
  await maren.choosesFrom("Fill up", other);
  await maren.sees("7.0 kg");
  const old = await maren.batchesOf("/");
  await maren.does("portion", maren.page.locator("main"));
  const [mixed] = await maren.newBatches(old);
  await maren.opensBatch(mixed);
  await maren.sees("7.0 kg");
  for (const [name, gave] of [
    [one, "1.5 kg"],
    [other, "5.5 kg"],
  ]) {
    await maren.sees(`From ${name}`);
    await maren.sees(`${gave} of ${name}`);
  }
  await maren.looks("load.mixed.en");
  for (const [pan, gave] of [
    [first, "1.5 kg"],
    [second, "5.5 kg"],
  ]) {
    await maren.opensBatch(pan);
    assert.ok(await maren.page.locator(`a[href="/batch/${mixed}"]`).isVisible(), "where it went to");
    await maren.goesWithin(`/batch/${pan}/history`);
    await maren.sees(gave);
  }
  maren.noFaults();
});
