// What a phone has shown as saved is still there when the phone has died.
import assert from "node:assert/strict";
import { test } from "node:test";
import { OwnChromium } from "./lib/browser.js";
import { Cook } from "./lib/cook.js";
import { size } from "./lib/phone.js";
import { Server } from "./lib/server.js";

const kills = 20;

test(`${kills} times the browser is killed right after a tap was shown as saved; the tap is there`, async (t) => {
  const server = await Server.open(t);
  const own = await OwnChromium.open(t);
  let anna = await takesUp(own, server);
  await anna.isHeldBy("Teo");
  await anna.isInTheCache();
  await anna.goes("/");
  const tub = (await anna.batches()).at(-1);
  await server.cutPower(); // so that nothing but the phone's own disk can bring it back
  for (let i = 0; i < kills; i++) {
    const name = `kill ${i}`;
    await anna.notes(tub, name);
    await own.kill();
    await own.start();
    anna = await takesUp(own, server);
    assert.ok((await anna.saved()).waiting > i, `after kill ${i} the phone holds ${(await anna.saved()).waiting} entries`);
  }
  await server.start();
  await anna.isSavedIn("kitchen");
  const bea = await takesUp(await OwnChromium.open(t), server);
  await bea.goesWithin(`/batch/${tub}/history`);
  for (let i = 0; i < kills; i++) await bea.sees(new RegExp(`kill ${i}\\b`));
});

async function takesUp(own, server) {
  const page = own.context.pages()[0] ?? (await own.context.newPage());
  await page.setViewportSize(size);
  const phone = new Cook(page, server, "anna");
  phone.touch = false; // this browser was started without fingers
  await phone.goes("/");
  return phone;
}
