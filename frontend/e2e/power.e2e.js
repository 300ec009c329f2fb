// Power and Wi-Fi go; the work does not.
import assert from "node:assert/strict";
import { test } from "node:test";
import { OwnChromium } from "./lib/browser.js";
import { Cook } from "./lib/cook.js";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";
import { Server } from "./lib/server.js";

test("the server loses its power in the middle; a phone reloads without it and goes on", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [anna, bea] = await kitchen.phones("anna", "bea");
  await anna.isHeldBy("Maren");
  await bea.isHeldBy("Teo");
  await anna.isInTheCache();
  await anna.goes("/hold");
  const tray = await anna.firstTray();
  const before = await anna.piecesIn(tray);

  await kitchen.server.cutPower();
  await anna.sellsOne(tray);
  await anna.isSavedIn("phone");
  await anna.reloads();
  assert.equal(await anna.piecesIn(tray), before - 1, "the sale is on the phone after a reload");
  await anna.sellsOne(tray);
  assert.ok((await anna.saved()).waiting >= 2);
  await anna.isOutOfTouch();

  await kitchen.server.start();
  await anna.isSavedIn("kitchen");
  await bea.goes("/hold");
  await bea.hasPieces(tray, before - 2);
  await allAgree([anna, bea]);
  anna.noFaults();
  bea.noFaults();
});

test("the server dies nine times under a phone that keeps selling; every sale is kept, none twice", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [anna, bea] = await kitchen.phones("anna", "bea");
  await anna.isHeldBy("Teo");
  await anna.goes("/hold");
  const tray = await anna.firstTray();
  const before = await anna.piecesIn(tray);
  for (let i = 0; i < 9; i++) {
    await anna.sellsOne(tray);
    await kitchen.server.cutPower();
    await kitchen.server.start();
  }
  await anna.isSavedIn("kitchen");
  await bea.goes("/hold");
  await bea.hasPieces(tray, before - 9);
  await allAgree([anna, bea]);
  await kitchen.server.stop();
  assert.equal((await kitchen.server.run("verify")).code, 0);
});

test("a phone starts from cold with the server dead, shows the line and takes taps", async (t) => {
  const server = await Server.open(t);
  const own = await OwnChromium.open(t);
  let anna = await onThePhone(own, server);
  await anna.goes("/");
  await anna.isHeldBy("Teo");
  await anna.isInTheCache();
  await anna.goes("/hold");
  const tray = await anna.firstTray();
  const before = await anna.piecesIn(tray);

  await server.cutPower();
  await own.kill();
  await own.start();
  anna = await onThePhone(own, server);
  await anna.goes("/");
  await anna.sees("Line");
  await anna.goesWithin("/hold");
  await anna.sellsOne(tray);
  await anna.hasPieces(tray, before - 1);
  await anna.isSavedIn("phone");
  assert.equal(await anna.page.evaluate(() => globalThis.brinebell.sound()), "running", "after one tap it can ring");
  assert.ok((await anna.bookedInstants()).size > 0, "bells are booked");
  anna.noFaults();
});

test("from cold, with the server dead, a phone rings, ends one stage and does the next; the kitchen has it once it is back", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phoneThatSleeps("Maren");
  await maren.isHeldBy("Maren");
  await maren.isInTheCache();
  await maren.holdsAll();
  const tub = await maren.setsATub();
  await maren.isSavedIn("kitchen");

  await kitchen.server.cutPower();
  await maren.own.kill();
  await maren.own.start();
  const cold = Object.assign(new Cook(await maren.own.context.newPage(), kitchen.server, "Maren, from cold"), { touch: false });
  await cold.goes("/");
  await cold.hearsRing("Tub 1");
  await cold.answersRings();
  await cold.opensBatch(tub);
  await cold.waitsUntilReady();
  await cold.movesOn(); // drain
  assert.equal(await cold.page.evaluate(() => globalThis.brinebell.sound()), "running", "after one tap it can be heard");
  await cold.doesTheSteps();
  await cold.hearsRing("Tub 1"); // the drain's own bell, of which no server ever knew
  await cold.answersRings();
  await cold.isSavedIn("phone");

  await kitchen.server.start();
  await cold.isSavedIn("kitchen");
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await teo.opensBatch(tub);
  await teo.sees("Drain");
  await allAgree([cold, teo]);
  cold.noFaults();
});

test("a dead path is noticed without anybody being told", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const anna = await kitchen.phone("anna");
  await anna.isHeldBy("Teo");
  await anna.isSavedIn("kitchen");
  anna.wifi.dead();
  await anna.isOutOfTouch();
  await anna.wifi.off();
  await anna.wifi.on();
  await anna.isSavedIn("kitchen");
});

async function onThePhone(own, server) {
  const phone = new Cook(await own.context.newPage(), server, "anna");
  phone.touch = false; // this browser was started without fingers
  return phone;
}
