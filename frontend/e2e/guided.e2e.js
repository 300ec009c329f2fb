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

/** Sets a PIN on one's own phone, where nobody's was set. */
async function setsAPin(phone, pin) {
  await phone.goesWithin("/crew");
  await phone.taps(phone.name);
  await phone.taps(/^Set your PIN/);
  for (let i = 0; i < 2; i++) {
    await phone.types(pin);
    const sheet = phone.page.locator("[data-part=sheet]");
    const before = await sheet.textContent();
    await phone.pokes(sheet.locator("button[data-do]").first());
    await phone.page.waitForFunction((old) => document.querySelector("[data-part=sheet]")?.textContent !== old, before);
  }
}

/** Types on the pad of the sheet, while there is one on the page below too. */
async function typesOnSheet(phone, digits) {
  for (const key of digits) await phone.pokes(phone.page.locator(`[data-part=sheet] [data-key-of-pad="${key}"]`));
}

test("out of touch a trainer's PIN on her phone will do, and is checked later on the trainer's own", async (t) => {
  const { maren, luz, tub } = await withLuz(t);
  await setsAPin(maren, "8350");
  await maren.sees("Change your PIN");
  await maren.isSavedIn("kitchen");
  await readsTheCaution(luz, "Ave cruda");
  await luz.holdsAll();
  await luz.wifi.off();
  await luz.isOutOfTouch();

  await luz.goesWithin(`/batch/${tub}`);
  await luz.does("step", luz.page.locator("li.now")); // the usual page does not let it pass either
  await luz.answers(3);
  await luz.isRefused("espera al instructor");

  await luz.goesWithin(`/guide/${tub}?read=meat-temp`);
  await luz.taps("Pedir a Maren que confirme");
  await luz.sees("Este móvil no tiene contacto");
  await luz.taps("Maren está aquí: PIN");
  await luz.types(3);
  await luz.taps("PIN de Maren");
  await typesOnSheet(luz, "1357");
  await luz.looks("guided-pin");
  await luz.taps("Soy Maren: confirmar");
  await luz.isRefused("Este no es el PIN de Maren");
  await luz.taps("PIN de Maren");
  await typesOnSheet(luz, "8350");
  await luz.taps("Soy Maren: confirmar");
  await luz.sees("Confirmado");
  assert.doesNotMatch(luz.page.url(), /8350/, "no PIN stands in an address");
  await luz.does("step", luz.page.locator(".guided"));
  await luz.answers(3);
  await luz.sees("Primero el agua");
  await luz.does("step", luz.page.locator(".guided"));
  await luz.sees("¿Cada pieza bajo el líquido?");
  await luz.taps("Pedir a Maren que confirme"); // nobody is there: it waits
  await luz.sees("Este móvil no tiene contacto");
  assert.equal(await luz.page.locator(".guided [data-do=step]").count(), 1, "only the no goes through");

  await luz.wifi.on();
  await luz.isSavedIn("kitchen");
  await confirms(maren, "Luz", await numberOn(luz));
  await luz.sees("Confirmado");
  await luz.does("step", luz.page.locator(".guided"));
  await luz.sees("Todos los pasos están hechos");

  await maren.goesWithin("/");
  await maren.taps("1 answer with your PIN");
  await maren.choosesFrom("Answered with your PIN", "Luz");
  await maren.looks("pin-check");
  await maren.taps(/^It was not me/);
  await maren.answers();
  await maren.page.waitForURL((url) => url.pathname === "/trainer");
  await maren.doesNotSee("Answered with your PIN");
  assert.equal(await maren.deviations(), 1, "the PIN that was not hers, and no step that nobody confirmed");
  await maren.goesWithin("/deviations");
  await maren.sees("an answer by PIN was not the trainer's");
  for (const phone of [maren, luz]) phone.noFaults();
});

test("who is not signed off at a fryer is refused, and goes on guided", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, jun] = await kitchen.phones("Maren", "Jun");
  await maren.isHeldBy("Maren Oduya");
  await jun.isHeldBy("Jun Abara");
  await maren.goes("/");
  await jun.goes("/");
  const load = await jun.batchCalled("/", "Fryer 1");
  await jun.opensBatch(load);
  await jun.does("move", jun.page.locator("main"));
  await jun.sees("Nobody has signed that you can do this alone");
  await jun.looks("refused");
  await jun.pokes(jun.page.locator("[data-part=refusal] [data-do=guide]", { hasText: "Maren Oduya" }));
  await jun.page.locator("[data-part=refusal]").waitFor({ state: "hidden" });
  await jun.does("move", jun.page.locator("main"));
  await jun.taps(/^Go on guided/);
  await jun.page.waitForURL((url) => url.pathname === `/guide/${load}`);
  await jun.sees("Hot oil and pressure");
  await jun.taps(/^I have read it/);
  await jun.does("step", jun.page.locator(".guided", { hasText: "Clean tray" }));
  await jun.taps(/^I have read it/);
  await jun.page.locator("[data-drawing=lid]").waitFor();
  await jun.looks("guided-lid");
  await jun.taps(/^Ask Maren Oduya to confirm/);
  const number = await numberOn(jun);
  await maren.hearsRing("Jun Abara");
  await maren.goesWithin("/trainer");
  await maren.taps(/^Look at it/);
  await picks(maren, number);
  await maren.sees("Confirmed");
  await jun.sees("Confirmed");
  await jun.does("step", jun.page.locator(".guided"));
  await jun.sees("Does the gauge read zero?");
  for (const phone of [maren, jun]) phone.noFaults();
});

test("who learns closes the kitchen guided: a step at a time, a no that stays, a drawing, and the trainer sees where", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, jun] = await kitchen.phones("Maren", "Jun");
  await maren.isHeldBy("Maren Oduya");
  await jun.isHeldBy("Jun Abara");

  // alone a step of the list is refused
  await jun.goesWithin("/list/closing");
  await jun.does("step", jun.page.locator("li.now"));
  await jun.sees("Nobody has signed that you can do this alone");
  await jun.pokes(jun.page.locator("[data-part=refusal] [data-do=guide]", { hasText: "Maren Oduya" }));
  await jun.page.locator("[data-part=refusal]").waitFor({ state: "hidden" });
  await jun.goesWithin("/guide/list/closing");
  await jun.sees("step 1 of 11");

  // what is dangerous stands alone; the first step is a critical question, and the trainer says: not yet
  await jun.sees("Past its time");
  assert.equal(await jun.page.locator(".guided").count(), 0, "the step is not beside it");
  await jun.taps(/^I have read it/);
  await jun.sees("Hold cabinet empty");
  await jun.looks("guided-list");
  await jun.taps(/^Ask Maren Oduya to confirm/);
  await numberOn(jun);
  await maren.hearsRing("Jun Abara");
  await maren.goesWithin("/trainer");
  await maren.taps(/^Look at it/);
  await maren.sees("Hold cabinet empty");
  await maren.taps(/^Not yet/);
  await maren.answers("two trays are still in it");
  await jun.sees("Maren Oduya says: not yet");
  await jun.sees("two trays are still in it");
  await jun.looks("guided-list-no");
  assert.equal(await jun.page.locator(".guided [data-do=step]", { hasText: /^Yes/ }).count(), 0, "only what is off can be said");

  // asked again, and confirmed by the number on the screen
  await jun.taps(/^Ask Maren Oduya again/);
  await maren.hearsRing("Jun Abara");
  await maren.goesWithin("/trainer");
  await maren.taps(/^Look at it/);
  await picks(maren, await numberOn(jun));
  await jun.sees("Confirmed");
  await jun.does("step", jun.page.locator(".guided"));
  await jun.page.locator("[data-drawing=tub]").waitFor();
  await jun.sees("The liquid stands above all");
  await jun.looks("guided-list-tub");
  await jun.taps("not sure");
  await maren.hearsRing("Jun Abara");

  // her view says at which step, and what was said
  await maren.goesWithin("/trainer");
  await maren.sees("Closing");
  await maren.sees("Tubs for tomorrow started");
  await maren.looks("trainer-list");
  await maren.taps(/^Look at it/);
  await maren.taps(/^Stop, I am coming/);
  await jun.sees("Maren Oduya: stop");

  // the usual page knows that the second step waits for her too
  await jun.goesWithin("/list/closing");
  await jun.does("step", jun.page.locator("li.now"));
  await jun.isRefused("waits for the trainer");
  await jun.taps(/^Go on guided/);
  await jun.page.waitForURL((url) => url.pathname === "/guide/list/closing");
  await jun.sees("step 2 of 11");
  for (const phone of [maren, jun]) phone.noFaults();
});
