// Kept by time alone to its end: four hours in less than a minute.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

const minute = 60_000;
const hour = 60 * minute;

test("time alone keeps a pan: a mark, a bell before its end, a bell at its end, no way back", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const teo = await kitchen.phone("teo");
  await teo.isHeldBy("Teo");
  const pan = await teo.batchCalled("/", "Pan");
  await teo.opensBatch(pan);
  await teo.taps("Keep it by time alone");
  await teo.types("30");
  await teo.sees("does not let time as a control begin");
  for (const _ of "30") await teo.taps("Erase");
  await teo.types("4.2");
  await teo.pokes(teo.page.locator("[data-do=log]").first());
  await teo.sees("There is no way back");
  await teo.pokes(teo.page.locator("[data-part=sheet] [data-do]", { hasText: "Start" }).first());
  await teo.page.locator("html[data-view=mark]").waitFor();
  await teo.sees("Discard by");
  await teo.sees("Time alone keeps it");
  await teo.looks("time-mark");
  await teo.opensBatch(pan);
  await teo.doesNotSee("Freeze it");
  const begun = await teo.kitchenNow();
  await kitchen.passes(teo, 3 * hour + 15 * minute);
  await rings(teo, "its time is nearly over");
  assert.ok((await teo.kitchenNow()) < begun + 4 * hour, "it rings before the end");
  await kitchen.passes(teo, begun + 3 * hour + 50 * minute - (await teo.kitchenNow()));
  await rings(teo, /discard \d/);
  assert.ok((await teo.kitchenNow()) >= begun + 4 * hour - minute, "and not to discard before there is reason to");
  await kitchen.runs(1);
  await teo.answersRings();
  await teo.goesWithin(`/batch/${pan}`);
  await teo.sees("Past limit");
  await teo.looks("time-over");
  await teo.pokes(teo.page.locator("main [data-do=discard]").first());
  await teo.answers();
  await teo.sees("Discarded");
  await teo.goesWithin("/logs");
  await teo.sees("Ended lately");
  teo.noFaults();
});

/** Answers whatever rings until a bell says these words, which it answers too. */
async function rings(phone, words) {
  const until = Date.now() + 120_000;
  const ring = phone.page.locator("[data-part=ring]");
  while (Date.now() < until) {
    if (await ring.isVisible()) {
      const text = (await ring.innerText()).replaceAll("\u00a0", " ");
      const found = words instanceof RegExp ? words.test(text.toLowerCase()) : text.toLowerCase().includes(words);
      if (found && text.includes("Pan")) return;
      await phone.answersRings();
    }
    await phone.page.waitForTimeout(200);
  }
  assert.fail(`${phone.name}: nothing rings "${words}":\n${await phone.text()}`);
}
