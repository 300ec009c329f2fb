// What a cook does less often: a step left out, a tub split, pieces wasted, a list forgotten, the bell tried out.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

test("a number on a step's sheet is judged while it is typed; nothing goes on without a critical step", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  const tub = await maren.startsATub("quick", 6, "FR-1");

  await maren.sees("3 steps are not done");
  await maren.does("move", maren.page.locator("main"));
  await maren.sees(/3 steps|Warmest piece/);
  await maren.page.locator("[data-part=refusal]").waitFor();
  await maren.sees("Warmest piece: read its temperature");
  await maren.taps("Leave it");
  assert.equal(await maren.stepNow(), "meat-temp", "nothing has moved");

  const sheet = maren.page.locator("[data-part=sheet]");
  const keep = async () => (await sheet.locator("button[data-do=step]").boundingBox()).y;
  await maren.does("step", maren.page.locator("li.now"));
  const before = await keep();
  await maren.types("7");
  await sheet.getByText(/2\.0\s°C over the limit/).waitFor();
  assert.equal(await keep(), before, "the button stays under the finger");
  await maren.pokes(sheet.getByRole("button", { name: "Erase" }));
  await maren.types("4");
  await sheet.getByText(/Limit met, 1\.0\s°C below/).waitFor();
  assert.equal(await keep(), before, "the button stays under the finger");
  await maren.pokes(sheet.getByRole("button", { name: "Leave it" }));
  await maren.page.waitForURL((url) => url.pathname === `/batch/${tub}` && url.search === "");
  assert.equal(await maren.stepNow(), "meat-temp", "what was only typed is not kept");

  await maren.does("step", maren.page.locator("li.now"));
  await maren.types("7.5");
  await sheet.getByText(/2\.5\s°C over the limit/).waitFor();
  await maren.pokes(sheet.locator("button[data-do=step]"));
  await maren.sees("7.5 °C is 2.5 °C over the limit");
  await maren.sees("Call the lead.");
  maren.noFaults();
});

test("a tub is split into two: half in each, and each knows where it came from", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  const tub = await maren.setsATub();
  const before = await maren.batchesOf("/");
  await maren.opensBatch(tub);
  await maren.taps("Split");
  await maren.types("2");
  await maren.sees("3.0 kg");
  await maren.does("portion");
  const halves = [];
  while (halves.length < 2) halves.splice(0, 2, ...(await maren.newBatches(before)));
  for (const half of halves) {
    await maren.opensBatch(half);
    await maren.sees("3.0 kg");
    await maren.sees("From Tub 1");
  }
  await maren.opensBatch(tub);
  await maren.sees(/Went to Tub 2.*Went to Tub 3/s);
  maren.noFaults();
});

test("pieces are sold and wasted by tap; more than there is is refused, and nothing is lost by it", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const teo = await kitchen.phone("teo");
  await teo.isHeldBy("Teo");
  await teo.goes("/hold");
  const tray = await teo.firstTray();
  const before = await teo.piecesIn(tray);
  await teo.sellsOne(tray);
  const waste = async (pieces) => {
    await teo.pokes(teo.strip(tray).getByRole("button", { name: /Wasted/ }));
    await teo.types(pieces);
    await teo.sees(`Waste ${pieces} pieces`);
    await teo.does("count", teo.page.locator("[data-part=sheet]"));
  };
  await waste(2);
  await teo.hasPieces(tray, before - 3);
  await waste(99);
  await teo.page.locator("[data-part=refusal]").waitFor();
  await teo.sees(new RegExp(`Tray [A-Z] holds ${before - 3}`)); // which tray stands first depends on the hour
  await teo.taps("Leave it");
  await teo.hasPieces(tray, before - 3);
  await teo.goesWithin(`/batch/${tray}/history`);
  await teo.sees("Sold 1");
  await teo.sees("Wasted 2");
  teo.noFaults();
});

test("a list that nobody did by its time rings on every device", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, teo] = await kitchen.phones("maren", "teo");
  await maren.isHeldBy("Maren");
  await teo.isHeldBy("Teo");
  await maren.goes("/lists");
  await maren.sees(/Cleaning, mid-morning due/);
  const [, due] = (await maren.text()).match(/Cleaning, mid-morning\s+due\D*(\d+:\d+)/);
  const minutes = (text) => {
    const [, hour, minute] = text.match(/(\d+):(\d+)/);
    return Number(hour) * 60 + Number(minute);
  };
  const now = minutes(await maren.page.locator(".clock").first().textContent());
  await kitchen.passes(maren, (minutes(due) - now - 10) * 60_000);
  for (const phone of [maren, teo]) await phone.hearsRing("Cleaning, mid-morning", 200_000);
  await kitchen.runs(1);
  await maren.answersRings();
  await maren.goesWithin("/");
  await maren.sees(/Cleaning, mid-morning[^a-z]*.*over/);
  maren.noFaults();
});

/** Counts in the page what is sounded, and keeps what says how loud. */
function listens() {
  globalThis.sounds = 0;
  globalThis.gains = [];
  const start = AudioBufferSourceNode.prototype.start;
  AudioBufferSourceNode.prototype.start = function (...when) {
    globalThis.sounds++;
    return start.apply(this, when);
  };
  globalThis.GainNode = class extends GainNode {
    constructor(...of) {
      super(...of);
      globalThis.gains.push(this.gain);
    }
  };
}

test("a device tries its bell: each signal sounds, and it says plainly whether it can ring", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const teo = await kitchen.phone("teo");
  await teo.page.context().addInitScript(listens);
  await teo.goes("/ring");
  await teo.isHeldBy("Teo");
  await teo.goes("/ring");
  const sounds = () => teo.page.evaluate(() => globalThis.sounds);
  for (const signal of ["information", "attention", "danger"]) {
    const before = await sounds();
    await teo.taps(`Play: ${signal}`);
    await teo.page.waitForFunction((n) => globalThis.sounds > n, before);
  }
  await teo.sees("This phone rings");
  await teo.taps("I did not hear it");
  await teo.sees("Turn the volume up");
  const loud = () => teo.page.evaluate(() => globalThis.gains.at(-1).value);
  await teo.taps(/^Loud$/);
  await teo.page.waitForFunction(() => globalThis.gains.at(-1).value < 0.7);
  const quiet = await loud();
  await teo.taps("As loud as it goes");
  await teo.page.waitForFunction((n) => globalThis.gains.at(-1).value > n, quiet);
  await teo.taps(/^I heard it$/);
  await teo.page.waitForURL((url) => url.pathname === "/more");
  teo.noFaults();
});

/** Notes in the page where a button lies when the reason why the page cannot ring has gone. */
function listensForRoom() {
  const button = [...document.querySelectorAll("button")].find((it) => it.textContent.includes("Play: danger"));
  new MutationObserver(() => {
    if (!document.querySelector(".standing").textContent.includes("cannot ring yet")) globalThis.lay ??= button.getBoundingClientRect().y;
  }).observe(document.body, { subtree: true, childList: true, characterData: true });
}

test("the first touch, which lets a page sound, moves nothing from under the finger", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const teo = await kitchen.phone("teo");
  await teo.goes("/ring");
  await teo.sees("cannot ring yet");
  await teo.isSavedIn("kitchen"); // its row has its place too
  const lies = () => teo.page.getByRole("button", { name: "Play: danger" }).evaluate((it) => it.getBoundingClientRect().y);
  await teo.page.evaluate(listensForRoom);
  const before = await lies();
  await teo.taps("Play: information");
  await teo.page.waitForFunction(() => globalThis.lay !== undefined);
  assert.equal(await teo.page.evaluate(() => globalThis.lay), before, "it lies where it lay, the reason above it gone");
  await teo.page.waitForFunction(() => !document.querySelector(".cannot"));
  assert.ok((await lies()) < before, "and comes up once the hand is away");
  teo.noFaults();
});

test("a device that knows no kitchen yet shows its own clock as its own, and is named in its language", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const teo = await kitchen.phone("teo", { stranger: true, options: { locale: "es-ES" } });
  await teo.page.goto(`${kitchen.server.origin}/`);
  await teo.sees("hora del dispositivo");
  await teo.doesNotSee("Hora de cocina");
  await teo.page.goto(`${kitchen.server.origin}/join?code=${encodeURIComponent(await kitchen.code())}`);
  await teo.does("page-join");
  await teo.drawn();
  await teo.isHeldBy("Teo");
  await teo.sees(/Kitchen time|Hora de cocina/);
  await teo.goesWithin("/devices");
  await teo.sees(/(Móvil|Pantalla) [0-9A-F]{4}/);
  teo.noFaults();
});
