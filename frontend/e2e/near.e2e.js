// Who is in touch: every phone knows how many there are, and a lead which of them rings, and where none does.
import assert from "node:assert/strict";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

/** What the screen of devices says of one of them. */
const device = (phone, name) => phone.page.locator("li[data-key^=device-]").filter({ has: phone.page.getByRole("heading", { name }) });

async function seesOf(phone, name, words) {
  await device(phone, name)
    .filter({ hasText: words })
    .waitFor({ timeout: 5000 })
    .catch(async () => assert.fail(`${phone.name} does not see of ${name} that it is "${words}":\n${await phone.text()}`));
}

async function two(t) {
  const kitchen = await Kitchen.quick(t);
  const [maren, teo] = await kitchen.phones("Maren", "Teo");
  for (const phone of [maren, teo]) await phone.isHeldBy(phone.name);
  await maren.goesWithin("/devices");
  return { kitchen, maren, teo };
}

test("a phone that closes is missed by the other within seconds, and it says since when", async (t) => {
  const { maren, teo } = await two(t);
  await maren.sees("2 devices in touch");
  await seesOf(maren, "Teo", "Teo has it");
  await teo.page.close();
  await maren.sees("1 device in touch", 4000);
  await seesOf(maren, "Teo", "out of touch since");
  await maren.goesWithin("/more");
  await maren.sees("1 device in touch");
  await maren.wifi.off();
  await maren.isOutOfTouch();
  await maren.doesNotSee("1 device in touch");
  maren.noFaults();
});

test("a lead sees which phone cannot ring, and where nothing rings", async (t) => {
  const { kitchen, maren, teo } = await two(t);
  await teo.goes("/lists"); // a page that was loaded anew makes no sound until it is touched
  await seesOf(maren, "Teo", "sound is locked");
  await teo.pokes(teo.page.locator("h1"));
  await seesOf(maren, "Teo", "rings now");

  await kitchenWithAColdRoomApart(kitchen);
  await maren.setsATub();
  await maren.goesWithin("/");
  await maren.sees("No device that rings now is at Cold room");
  await maren.answersRings();
  await maren.taps("No device that rings now is at Cold room");
  await maren.pokes(device(maren, "Teo").locator("[data-do=post]"));
  await maren.pokes(maren.page.locator("[data-part=sheet] .choices button", { hasText: "Cold room" }));
  await seesOf(maren, "Teo", "Cold room");
  await maren.goesWithin("/");
  await maren.doesNotSee("No device that rings now");
  await teo.reloads(); // its sound is locked again
  await maren.sees("No device that rings now is at Cold room");
  for (const phone of [maren, teo]) phone.noFaults();
});

/** The cold room is a room of its own, in which no bell from elsewhere is heard. */
async function kitchenWithAColdRoomApart(kitchen) {
  const text = await readFile(new URL("documents/equipment.json", import.meta.url), "utf8");
  const equipment = JSON.parse(text);
  equipment.version++;
  equipment.devices.find((one) => one.name === "cold-room").room = "cold-room";
  const folder = await mkdtemp(join(tmpdir(), "near-"));
  kitchen.t.after(() => rm(folder, { recursive: true }));
  const file = join(folder, "equipment.json");
  await writeFile(file, JSON.stringify(equipment));
  const { code, out } = await kitchen.server.run("publish", file);
  assert.equal(code, 0, out);
}
