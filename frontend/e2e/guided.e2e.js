// Guided work: who learns is led step by step on real batches, and a trainer answers on a phone of their own.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

/** A kitchen with Maren, who leads, and Luz, who learns and reads Spanish: each with a phone. A tub stands at its first step. */
async function withLuz(t) {
  const kitchen = await Kitchen.quick(t);
  const [maren, luz] = await kitchen.phones("Maren", "Luz");
  await maren.isHeldBy("Maren");
  await maren.goesWithin("/who");
  await maren.taps("List somebody who learns, in Spanish");
  await maren.answers("Luz");
  await maren.page.locator("button[data-do=crew]", { hasText: "Luz" }).waitFor();
  await luz.page.locator("html").waitFor();
  await luz.goes("/who");
  await luz.page.locator("button[data-do=crew]", { hasText: "Luz" }).waitFor();
  await luz.isHeldBy("Luz");
  const tub = await maren.startsATub("quick", 6, "FR-1");
  await luz.goesWithin(`/batch/${tub}`);
  await luz.does("guide", luz.page.locator("button.row", { hasText: "Con Maren" }).locator(".."));
  await luz.page.waitForURL((url) => url.pathname === `/guide/${tub}`);
  return { kitchen, maren, luz, tub };
}

/** Reads the caution that stands alone, and goes on. */
async function readsTheCaution(phone, words) {
  await phone.sees(words);
  assert.equal(await phone.page.locator(".guided").count(), 0, "the step is not beside it");
  await phone.taps(/^Lo he leído/);
  await phone.page.locator(".guided").waitFor();
}

/** The number that stands large on a phone. */
const numberOn = async (phone) => (await phone.page.locator(".matching .number").textContent()).trim();

/** Answers what rings by the number on the other phone, and with what the step reads where it asks for that. */
async function confirms(trainer, name, number, seen) {
  await trainer.hearsRing(name);
  await trainer.says("Look at it");
  await trainer.page.waitForURL((url) => url.pathname.startsWith("/trainer/ask/"));
  await picks(trainer, number, seen);
  await trainer.sees("Confirmed");
}

async function picks(trainer, number, seen) {
  await trainer.pokes(trainer.page.locator(".matches button", { hasText: new RegExp(`^\\s*${number}\\s*$`) }));
  if (seen !== undefined) await trainer.answers(seen);
}

test("who learns is led, is not sure, and is confirmed by the number on the screen", async (t) => {
  const { maren, luz, tub } = await withLuz(t);
  await readsTheCaution(luz, "Ave cruda");
  await luz.sees("Pieza más caliente");
  await luz.looks("guided");

  await luz.taps("No lo tengo claro");
  await maren.hearsRing("Luz");
  await maren.says("Look at it");
  await maren.sees("Warmest piece");
  await maren.looks("trainer-help");
  await maren.taps(/^Stop, I am coming/);
  await luz.sees("Maren: para");
  await maren.isSilent("Luz");

  await luz.taps("Pedir a Maren que confirme");
  const number = await numberOn(luz);
  await luz.looks("guided-wait");
  assert.equal(await luz.page.locator(".guided [data-do=step]", { hasText: "No cumple" }).count(), 1, "what is off is not held back");
  await maren.hearsRing("Luz");
  await maren.says("Look at it");
  await maren.page.locator(".matches button").nth(3).waitFor();
  const wrong = await maren.page
    .locator(".matches button")
    .evaluateAll((all, right) => all.map((one) => one.textContent.trim()).find((n) => n !== right), number);
  await maren.looks("trainer-ask");
  await picks(maren, wrong, 3);
  await maren.isRefused("That number is not on the screen of Luz");
  await luz.sees(number);
  await picks(maren, number, 3);
  await luz.sees("Confirmado");
  await luz.sees(/Vio 3[,.]0/);
  await maren.taps("Who learns now");
  await maren.sees("Luz");
  await luz.does("step", luz.page.locator(".guided"));
  await luz.answers(3);
  await luz.sees("Primero el agua");
  await maren.sees("Water first"); // her view follows
  await maren.looks("trainer");

  await maren.taps("Luz");
  await maren.taps(/^Went well/);
  await maren.sees(/Luz: went well/i);
  await maren.looks("learner");
  await maren.goesWithin(`/batch/${tub}`);
  await maren.sees("Quick");
  for (const phone of [maren, luz]) phone.noFaults();
});
