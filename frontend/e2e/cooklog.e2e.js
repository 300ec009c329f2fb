// A probe's log of a cook: out of a file with no server in reach, or out of what a sensor posted; kept on its batch, held
// against the table on paper too.
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { test } from "node:test";
import { promisify } from "node:util";
import { Kitchen } from "./lib/kitchen.js";

const run = promisify(execFile);
const shots = process.env.SHOTS;

/** A picture of the page, where somebody wants to look. */
async function shot(phone, name) {
  if (!shots) return;
  await mkdir(shots, { recursive: true });
  const was = phone.page.viewportSize();
  await phone.page.setViewportSize({ width: was.width, height: 2400 });
  await phone.page.screenshot({ path: join(shots, `${name}.png`) });
  await phone.page.setViewportSize(was);
}

/** Nothing on the page is wider than the phone. */
async function fits(phone) {
  const wide = await phone.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, `the page is ${wide} px wider than the phone`);
}

/** A probe's file in degrees Fahrenheit: one reading a second from a morning on. */
function file(name, degrees) {
  const from = Date.parse("2026-11-24T11:05:00Z");
  const rows = degrees.map((f, i) => `${new Date(from + i * 1000).toISOString()},${f}`);
  return { name, mimeType: "text/csv", buffer: Buffer.from(`time,temp_f\n${rows.join("\n")}\n`) };
}

const ramp = (from, to, seconds) => Array.from({ length: seconds }, (_, i) => (from + ((to - from) * i) / seconds).toFixed(1));
const chooses = (phone, what) => phone.page.locator("input[type=file]").setInputFiles(what);
const batchOf = (phone) => phone.page.evaluate(() => new URL(location.href).searchParams.get("b"));

/** Comes to the log of the last load. @returns the batch's id */
async function logOfALoad(phone) {
  await phone.goesWithin("/cook");
  await phone.sees("Which batch is it?");
  await phone.pokes(phone.page.locator('a[href*="b="]').first());
  await phone.sees(/Of .+, loaded/);
  return batchOf(phone);
}

test("a probe's file is read out of touch, put right, assessed, kept, and stands on paper", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const maren = await kitchen.phone("maren");
  await maren.isHeldBy("Maren");
  await maren.isInTheCache();
  await maren.holdsAll();
  await maren.wifi.off();
  const batch = await logOfALoad(maren);
  const fat = (await maren.page.locator("[data-pad=f]").innerText()).match(/\b(9|11)\s*%/)?.[1];
  assert.ok(fat, "the procedure says it");
  await maren.taps("A probe's file");
  await maren.sees("times in RFC 3339");
  await shot(maren, "cooklog-choose");

  await chooses(maren, {
    name: "bad.csv",
    mimeType: "text/csv",
    buffer: Buffer.from('time,temp_f\n2026-11-24T11:05:00Z,160\nyesterday,161\n2026-11-24T11:05:02Z,"161,5"\n'),
  });
  await maren.sees("2 rows cannot be read: nothing is assessed");
  await maren.sees('row 2 (line 3): the time "yesterday" is not in RFC 3339');
  await maren.sees("row 3 (line 4): temp_f is");
  await maren.doesNotSee("Limit met");
  assert.equal(await maren.page.locator("svg.chart").count(), 0);
  await shot(maren, "cooklog-bad");
  await fits(maren);

  await chooses(maren, file("short.csv", [...ramp(40, 150, 400), ...Array(20).fill("150.0")]));
  await maren.sees("420 readings");
  await maren.sees("Limit not met. 19 s at 150 °F");
  await maren.pokes(maren.page.locator("main [data-do=cook-log]"));
  await maren.sees("the cook log does not meet its limit");
  assert.equal(maren.path, `/batch/${batch}`);
  await maren.goesWithin(`/cook?b=${batch}&src=csv`);

  await chooses(maren, file("whole.csv", [...ramp(40, 160, 500), ...Array(61).fill("160.0")]));
  await maren.sees("561 readings");
  await maren.sees("Limit met. 1 min at 160 °F or hotter without a break");
  assert.equal(await maren.page.locator("svg.chart rect.c-held").count(), 1, "the run that held is shaded");
  assert.equal(await maren.page.locator("svg.chart polyline.c-limit").count(), 1);
  await shot(maren, "cooklog-met");
  await fits(maren);
  await maren.pokes(maren.page.locator("main [data-do=cook-log]"));
  await maren.sees("Limit met: 1 min at 160 °F or hotter");
  await shot(maren, "cooklog-batch");
  await maren.pokes(maren.page.locator(`a[href^="/cook/${batch}/"]`, { hasText: "Limit met" }));
  await maren.sees("Recomputed now from the kept readings: the same.");
  await maren.sees("whole.csv, 561 readings kept");
  await shot(maren, "cooklog-kept");
  await fits(maren);
  const digest = (await maren.text()).match(/[0-9a-f]{32}/)[0];

  await maren.wifi.on();
  await maren.isSavedIn("kitchen");
  await maren.goesWithin("/records");
  await maren.pokes(maren.page.locator('a[href^="/records/day/"]:not([href*="show"])').first());
  await maren.sees("Cook log: Limit not met: 19 s at 150 °F or hotter");
  await shot(maren, "cooklog-records");
  const saved = maren.page.waitForEvent("download");
  await maren.pokes(maren.page.getByRole("link", { name: /PDF/ }));
  const path = await (await saved).path();
  const paper = (await run("pdftotext", ["-raw", path, "-"])).stdout.replaceAll(/\s+/g, " ");
  for (const want of [
    "probe log against the published table, 160 °F",
    "whole.csv",
    digest,
    `Table for chicken, ${fat} % fat`,
    "561 readings",
    "Worked out again from them for this print: the same.",
  ])
    assert.ok(paper.includes(want), `${want} is not on paper:\n${paper}`);
  assert.match(paper, /19 s critical: at least 3 min 18 s NOT MET/);
  maren.noFaults();
});

test("a file of a hundred thousand readings is read beside the taps, and too long to be kept", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const maren = await kitchen.phone("maren");
  await maren.isHeldBy("Maren");
  await logOfALoad(maren);
  await maren.taps("A probe's file");
  await maren.sees("times in RFC 3339");
  const here = maren.path;
  const long = file(
    "day.csv",
    Array.from({ length: 100_000 }, (_, i) => (40 + (((i % 600) * 21) / 10 + (i % 7)) / 10 + (i % 600 > 560 ? 100 : 0)).toFixed(1)),
  );
  const began = Date.now();
  await chooses(maren, long);
  await maren.goesWithin("/more"); // a tap meanwhile
  const tapped = Date.now() - began;
  await maren.goesWithin(here);
  await maren.sees("100000 readings");
  await maren.sees("Limit met.");
  t.diagnostic(`another screen ${tapped} ms after the file was chosen, its chart after ${Date.now() - began} ms`);
  await maren.sees("100000 readings are more than the 7200 that a record keeps");
  assert.equal(await maren.page.locator("main [data-do=cook-log]").count(), 0);
  await chooses(maren, file("longer.csv", Array(100_001).fill("50.0")));
  await maren.sees("there are more than 100000 readings");
  await shot(maren, "cooklog-long");
  maren.noFaults();
});

test("what a sensor posted while a load was cooked is held against the table and kept", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const maren = await kitchen.phone("maren");
  await maren.isHeldBy("Maren");
  await maren.goesWithin("/sensors");
  await maren.page.locator("#sensor-name").fill("Probe with a radio");
  await maren.page.locator("fieldset.checks input[value=fryer-1]").check();
  await maren.pokes(maren.page.locator("[data-do=pairsensor]"));
  const token = (await maren.page.locator("[data-token]").textContent()).trim();
  const now = await maren.page.evaluate(() => globalThis.brinebell.kitchenNow());
  const readings = Array.from({ length: 40 }, (_, i) => ({
    place: "fryer-1",
    time: new Date(now - (40 - i) * 2000).toISOString(),
    value: i < 5 ? 20 + i * 12 : 75,
    unit: "Cel",
  }));
  const answer = await fetch(`${kitchen.server.origin}/api/readings`, {
    method: "POST",
    headers: { authorization: `Bearer ${token}`, "content-type": "application/json" },
    body: JSON.stringify(readings),
  });
  assert.equal(answer.status, 200, await answer.text());
  const batch = await logOfALoad(maren);
  await maren.goesWithin(`/cook?b=${batch}&z=600`); // up to ten hours after it was loaded
  await maren.sees("40 readings that a sensor posted");
  await maren.taps("Probe with a radio");
  await maren.sees("Only a probe in the thickest part counts.");
  await maren.sees("Limit met.");
  await shot(maren, "cooklog-posted");
  await fits(maren);
  await maren.pokes(maren.page.locator("main [data-do=cook-log]"));
  await maren.pokes(maren.page.locator(`a[href^="/cook/${batch}/"]`, { hasText: "Limit met" }));
  await maren.sees("Fryer 1, Probe with a radio, 40 readings kept");
  await maren.does("correct"); // the fat
  await maren.types("12");
  await maren.does("correct", maren.page.locator("[data-part=sheet]"));
  await maren.sees("12.0 %");
  await maren.sees("Recomputed now from the kept readings: the same.");
  await shot(maren, "cooklog-corrected");
  await maren.goesWithin(`/batch/${batch}/history`);
  await maren.sees("Cook log: Limit met");
  await shot(maren, "cooklog-history");
  maren.noFaults();
});
