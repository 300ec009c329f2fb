// Frozen and thawed, and cooled on two phones of which one is out of touch.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";

/** What stands large on a date mark. */
async function mark(phone, id) {
  await phone.goesWithin(`/mark/${id}`);
  await phone.page.locator("html[data-view=mark]").waitFor();
  return phone.page.locator(".label").first().innerText();
}

/** Types a temperature into the log that is open, and keeps it. */
async function reads(phone, degrees) {
  await phone.types(degrees);
  await phone.pokes(phone.page.locator("[data-do=log-read]").first());
  await phone.page.waitForFunction(() => !new URLSearchParams(location.search).get("v"));
}

test("a pan is frozen and thawed, and its date moves by as long as it was frozen", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const maren = await kitchen.phone("maren");
  await maren.isHeldBy("Maren");
  const pan = await maren.batchCalled("/", "Pan");
  const before = await mark(maren, pan);
  await maren.opensBatch(pan);
  await maren.taps("Freeze it");
  await maren.sees("its time stands still");
  await maren.sees("Take it out to thaw");
  await maren.looks("frozen");
  assert.match(await mark(maren, pan), /FROZEN, RAW/);
  await maren.goesWithin("/");
  await maren.sees("Frozen");
  await maren.holdsAll();
  await maren.wifi.off();
  await kitchen.runs(60);
  await maren.wifi.on();
  await maren.opensBatch(pan);
  await maren.page
    .locator("main .bighead, main [data-state]")
    .filter({ hasText: /for\s*([3-9]:|\d+ min)/ })
    .first()
    .waitFor({ timeout: 60_000 });
  await kitchen.runs(1);
  await maren.taps("In the cold room");
  await maren.page.locator("button", { hasText: "In the cold room" }).waitFor({ state: "detached" });
  const after = await mark(maren, pan);
  assert.doesNotMatch(after, /FROZEN/);
  assert.notEqual(clockOf(after), clockOf(before));
  const moved = (clockOf(after) - clockOf(before) + 1440) % 1440;
  assert.ok(moved >= 3 && moved < 120, `from\n${before}\nto\n${after}`);
  await maren.goesWithin(`/batch/${pan}/history`);
  await maren.sees("Thawing: in the cold room");
  maren.noFaults();
});

/** The minutes since midnight of the clock on a mark. */
function clockOf(text) {
  const [, hours, minutes] = text.match(/\b(\d\d):(\d\d)\b/);
  return Number(hours) * 60 + Number(minutes);
}

test("a tray is cooled by two phones, one of them out of touch: one log, one mark", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, ines] = await kitchen.phones("maren", "ines");
  await maren.isHeldBy("Maren");
  await ines.isHeldBy("Inés");
  await ines.isInTheCache();
  await maren.goesWithin("/hold");
  const fresh = maren.page.locator("li", { has: maren.page.locator("[data-do=count]") }).last(); // the youngest stands last
  const tray = (await fresh.locator("a[href^='/batch/']").first().getAttribute("href")).split("/")[2];
  await ines.holdsAll();
  await ines.wifi.off();
  for (const phone of [maren, ines]) {
    await phone.goesWithin(`/log/new/cool?b=${tray}`);
    await phone.types(phone === maren ? "58.4" : "57");
    await phone.pokes(phone.page.locator("[data-do=log]").first());
    await phone.page.locator("html[data-view=batch]").waitFor();
    await phone.pokes(phone.page.locator("main a[href^='/log/']").first());
    await phone.page.locator("html[data-view=log]").waitFor();
  }
  await reads(ines, "20");
  assert.ok((await ines.saved()).waiting >= 2);
  await ines.looks("cooling-offline");
  await ines.wifi.on();
  await ines.isSavedIn("kitchen");
  await allAgree([maren, ines]);
  await maren.sees("20.0 °C");
  await maren.sees("57.0 °C");
  assert.equal(await maren.page.locator("svg.chart polyline.c-limit").count(), 2);
  await maren.looks("cooling");
  await reads(maren, "4.8");
  await maren.sees("Cooled");
  await allAgree([maren, ines]);
  const written = await mark(ines, tray);
  assert.match(written, /como mucho 5,0/);
  await maren.goesWithin("/records");
  await maren.taps("Today");
  await maren.sees("Cooling: 20.0 °C");
  maren.noFaults();
  ines.noFaults();
});
