// A cook's log is typed and held against the published table with no server in reach.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

/** Puts a number into the pad that stands under a name. */
async function typesInto(phone, name, number) {
  const closed = phone.page.locator(`button[data-pad=${name}]`);
  if (await closed.isVisible()) await phone.pokes(closed);
  await phone.page.locator(`section[data-pad=${name}]`).waitFor();
  await phone.types(number);
}

async function addsReading(phone, seconds, degrees, n) {
  await typesInto(phone, "s", seconds);
  await typesInto(phone, "t", degrees);
  await phone.taps("Add the reading");
  await phone.sees(n === 1 ? "1 reading" : `${n} readings`);
}

test("a cook's log is assessed on a phone that is out of touch", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  await maren.holdsAll();
  await maren.wifi.off();
  await maren.goesWithin("/more");
  await maren.taps("Cook log");
  await maren.sees("No readings yet.");
  await typesInto(maren, "f", "7");
  await addsReading(maren, "0", "4", 1);
  await maren.sees("Limit not met. The hottest reading is 4.0 °C; the table begins at 57.8 °C (136 °F)");
  await addsReading(maren, "300", "70", 2);
  await addsReading(maren, "324.4", "70", 3); // 158 °F for 24.4 s: 24.5 s are asked for
  await maren.sees("Limit not met. 24.4 s at 70.0 °C (158 °F) or hotter without a break; the table asks for 24.5 s: 0.1 s short.");
  await addsReading(maren, "324.5", "70", 4);
  await maren.sees("Limit met. 24.5 s at 70.0 °C (158 °F)");
  await maren.sees("FSIS-GD-2021-0014, Table 3, p. 37");
  await maren.sees("Follow your local code");
  assert.equal(await maren.page.locator("svg.chart rect.c-held").count(), 1, "the run that held is shaded");
  assert.equal(await maren.page.locator("svg.chart polyline.c-limit").count(), 1);
  await maren.reloads();
  await maren.sees("Limit met. 24.5 s"); // what was typed outlives a reload
  await maren.taps("5 min, 70.0 °C"); // back on the pads, out of the log
  await maren.sees("3 readings");
  await maren.sees("Limit not met.");
  maren.noFaults();
});
