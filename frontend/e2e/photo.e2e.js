// A step that wants a photo: kept without the kitchen, sent when it is back, seen by everybody, and clear where it fails.
import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

/** A tub whose first step wants a photo, open on the phone. */
async function tubOnThe(phone) {
  await phone.startsATub("bone-in", 8, "FR-2620");
  await phone.page.locator("li.now", { hasText: /photo|Photograph|label/i }).waitFor();
}

/** What a camera would hand over: a picture of that size, made in the page. */
async function picture(phone, width, height) {
  const url = await phone.page.evaluate(
    ([w, h]) => {
      const canvas = Object.assign(document.createElement("canvas"), { width: w, height: h });
      const pen = canvas.getContext("2d");
      pen.fillStyle = "teal";
      pen.fillRect(0, 0, w / 2, h);
      return canvas.toDataURL("image/png");
    },
    [width, height],
  );
  return { name: "label.png", mimeType: "image/png", buffer: Buffer.from(url.split(",")[1], "base64") };
}

const camera = (phone) => phone.page.locator("[data-part=sheet] input[type=file]");
const shown = (phone) => phone.page.locator("img.photo");

/** The photo stands there, whole, its longer side no more than 1600 pixels. */
async function seesThePhoto(phone) {
  await shown(phone).first().waitFor();
  await phone.page.waitForFunction(() => document.querySelector("img.photo")?.naturalWidth > 1);
  return shown(phone)
    .first()
    .evaluate(({ naturalWidth, naturalHeight, src }) => ({ naturalWidth, naturalHeight, src }));
}

test("a photo taken out of touch stays through a reload, is sent when the kitchen is back, and others see it", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [anna, bea] = await kitchen.phones("anna", "bea");
  await anna.isHeldBy("Teo");
  await bea.isHeldBy("Maren");
  await anna.isInTheCache();
  await anna.goes("/");
  await tubOnThe(anna);
  const { path } = anna;
  await anna.isSavedIn("kitchen");
  await anna.wifi.off();
  await anna.does("step", anna.page.locator("li.now"));
  await camera(anna).setInputFiles(await picture(anna, 2400, 1200));
  await anna.page.locator("[data-part=sheet]").waitFor({ state: "hidden" });
  const first = await seesThePhoto(anna);
  assert.deepEqual([first.naturalWidth, first.naturalHeight], [1600, 800]);
  assert.match(first.src, /^blob:/, "out of the phone's own store");
  await anna.isSavedIn("phone");
  await anna.reloads();
  await seesThePhoto(anna);
  await anna.goesWithin(`${path}/history`);
  await seesThePhoto(anna);

  await anna.wifi.on();
  await anna.isSavedIn("kitchen");
  await bea.goesWithin(`${path}/history`);
  const there = await seesThePhoto(bea);
  assert.match(there.src, /\/photo\/[0-9a-f]{64}$/);
  await bea.wifi.off();
  await bea.page.route(/\/photo\//, (route) => route.abort());
  await bea.goesWithin("/");
  await bea.goesWithin(`${path}/history`);
  await bea.sees("The photo is not on this device");
  anna.noFaults();
});

test("a file that is no picture, or far too large, is refused in words, and the step stays open", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const anna = await kitchen.phone("anna");
  await anna.isHeldBy("Teo");
  await anna.goes("/");
  await tubOnThe(anna);
  const step = await anna.stepNow();
  await anna.does("step", anna.page.locator("li.now"));
  await camera(anna).setInputFiles({ name: "label.jpg", mimeType: "image/jpeg", buffer: Buffer.from("\xff\xd8\xff not one", "latin1") });
  await anna.sees("This file cannot be read as a picture");
  const folder = await mkdtemp(join(tmpdir(), "brinebell-photo-"));
  t.after(() => rm(folder, { recursive: true, force: true }));
  await writeFile(join(folder, "huge.jpg"), Buffer.alloc(41_000_001));
  await camera(anna).setInputFiles(join(folder, "huge.jpg"));
  await anna.sees("This file has 42 MB; at most 40 MB are taken");
  await camera(anna).setInputFiles(await picture(anna, 8000, 6000)); // large for a camera, and taken
  await anna.page.locator("[data-part=sheet]").waitFor({ state: "hidden" });
  await anna.page.waitForFunction((old) => document.querySelector("li.now")?.getAttribute("data-key") !== old, step);
  const { naturalWidth, naturalHeight } = await seesThePhoto(anna);
  assert.deepEqual([naturalWidth, naturalHeight], [1600, 1200]);
  anna.noFaults();
});
