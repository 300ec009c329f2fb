// From the first day to a signature: somebody new, who reads Spanish, joins, is refused, is led by a trainer on a second phone, in part
// with no signal, answers questions, practises, is signed off with a PIN, and then loads the fryer alone. Somebody of 15 is not.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { Kitchen } from "./lib/kitchen.js";
import { begins, isAt, learns, playsAndNotes, runsFast } from "./lib/night.js";

const quick = JSON.parse(await readFile(fileURLToPath(new URL("documents/quick.json", import.meta.url)), "utf8"));
const pin = "4821";

/** Lists somebody who learns. @returns the path of their page */
async function listed(lead, name) {
  await lead.goesWithin("/who");
  await lead.taps("List somebody who learns, in Spanish");
  await lead.answers(name);
  await lead.page.locator("button[data-do=crew]", { hasText: name }).waitFor();
  await lead.goesWithin("/crew");
  const link = lead.page.locator("main a[href^='/crew/crew-']", { hasText: name }).first();
  return link.getAttribute("href");
}

/** A lead shows a code on their own phone; the new phone types it in. */
async function pairs(lead, phone, name) {
  await lead.goesWithin("/devices");
  await lead.does("code");
  const shown = lead.page.locator("main dd b", { hasText: /^[2-9A-HJ-NP-TV-Z]{3}[- ]?[2-9A-HJ-NP-TV-Z]{3}$/ }).first();
  await phone.joins((await shown.textContent()).trim(), name);
}

/** Types how much of a pan goes into fryer 1. */
async function weighs(phone, pan, kilograms) {
  await phone.goesWithin(`/load/fryer-1?from=${pan}`);
  await phone.types(kilograms);
}

/** Loads what was weighed, which nothing keeps from it. @returns the id of the load */
async function loads(phone) {
  const before = await phone.batchesOf("/");
  await phone.pokes(phone.page.locator("main [data-do=portion]:not(.quiet)"));
  const [load] = await phone.newBatches(before);
  return load;
}

/** Whoever learns reads what stands alone before a step, until the step itself is there. */
async function readsOn(phone) {
  await phone.page
    .locator(".guided")
    .or(phone.page.getByRole("link", { name: /^Lo he leído/ }))
    .first()
    .waitFor()
    .catch(async (error) => assert.fail(`${error}\n${phone.path}\n${await phone.text()}`));
  if (!(await phone.page.locator(".guided").count())) await phone.taps(/^Lo he leído/);
  await phone.page.locator(".guided").waitFor();
}

const step = (phone) => phone.page.locator(".guided").first();

/** The trainer answers on a phone of her own, by the number on the other's screen. */
async function confirmsOnHerPhone(trainer, learner, seen) {
  await learner.taps("Pedir a Maren que confirme");
  const number = (await learner.page.locator(".matching .number").textContent()).trim();
  await trainer.hearsRing("Nuria");
  await trainer.says("Look at it");
  await trainer.pokes(trainer.page.locator(".matches button", { hasText: new RegExp(`^\\s*${number}\\s*$`) }));
  if (seen !== undefined) await trainer.answers(seen);
  await learner.sees("Confirmado");
}

/** The trainer stands beside and answers with her PIN on the learner's phone. */
async function confirmsByPin(learner, seen) {
  await learner.taps("Pedir a Maren que confirme");
  await learner.taps("Maren está aquí: PIN");
  if (seen !== undefined) await learner.types(seen);
  await learner.taps("PIN de Maren");
  await learner.answers(pin);
  await learner.sees("Confirmado");
}

/** Does the step that is shown, and sees that it is no longer. */
async function doesIt(phone, reading) {
  const key = await step(phone).getAttribute("data-key");
  await phone.does("step", step(phone));
  await phone.answers(reading);
  await phone.page.waitForFunction((was) => document.querySelector(".guided")?.getAttribute("data-key") !== was, key);
}

/** Length as the page prints it in Spanish: PT4M is "4 min". */
const long = (iso) => iso.replace(/^PT/, "").replace("H", " h ").replace("M", " min ").replace("S", " s").trim();
const dangers = { "hot oil": "aceite caliente", "raw poultry": "ave cruda" };

/** What the kitchen's own document answers to a question about a stage; "" to what it does not say in so many words. */
function written(text) {
  const at = quick.stages.findIndex((one) => text.includes(`${one.title.es}:`) || text.includes(`después de ${one.title.es}?`));
  const stage = quick.stages[at];
  if (!stage) return "";
  const { window, enter, caution } = stage;
  if (text.includes("viene justo después")) return quick.stages[at + 1].title.es;
  if (text.includes("como mínimo")) return long(window.floor);
  if (text.includes("tiempo como máximo")) return long(window.ceiling);
  if (text.includes("su mejor momento")) return `de ${long(window.best.from ?? window.floor)} a ${long(window.best.until)}`;
  if (text.includes("avisa su precaución")) return dangers[caution.hazards[0]];
  if (text.includes("piezas caben")) return `${enter.pieces} piezas`;
  if (text.includes("cuánto cabe")) return enter.most.replace(".", ",");
  return "";
}

/** Answers what is asked by the kitchen's own document, else the first that stands there. */
async function answersQuestions(phone, most) {
  const { page } = phone;
  await phone.goesWithin("/quiz");
  for (let i = 0; i < most; i++) {
    await page.locator("main button[data-do=quiz]").first().waitFor();
    const text = (await page.locator("main h2").first().textContent()).replaceAll("\u00a0", " ");
    const known = page
      .locator("main button[data-do=quiz]")
      .filter({ hasText: new RegExp(`^\\s*${(written(text) || "-").replaceAll(" ", "\\s")}\\s*$`) });
    await phone.pokes((await known.count()) ? known.first() : page.locator("main button[data-do=quiz]").first());
    await page.waitForURL((url) => url.pathname === "/quiz/told");
    if (i < most - 1) await phone.taps("Siguiente pregunta");
  }
}

/** Plays the first night of the ladder until it is passed, each time knowing what it was told the time before, and keeps what came of it. */
async function practises(phone) {
  const { page } = phone;
  await begins(phone);
  const known = new Map();
  const passed = async () => /(^|\n)\s*Superada/.test(await phone.text());
  for (let i = 0; ; i++) {
    await phone.sees("PRÁCTICA");
    await runsFast(phone);
    for (const [title, answer] of learns(await playsAndNotes(phone, known))) known.set(title, answer);
    await phone.sees(/Superada|No superada/);
    if (await passed()) break;
    assert.ok(i < 4, `what was told to be better does not pass:\n${[...known]}\n${await phone.text()}`);
    await phone.taps(/^La misma noche/);
    await isAt(phone, "line");
  }
  await phone.looks("hire-passed");
  await phone.does("rung");
  await page.waitForURL((url) => url.pathname === "/practice");
  await page.locator("html[data-mode=real]").waitFor();
  await page.locator("main li", { hasText: /^1\. .*superado/s }).waitFor(); // the ladder says so
}

/** Goes to where the pressure is let off. A bell may have taken the tap that ended the cook: then it is made again. */
async function goesToLetOff(phone, load) {
  const led = phone.page
    .locator(".guided")
    .or(phone.page.getByRole("link", { name: /^Lo he leído/ }))
    .first();
  for (let i = 0; i < 3; i++) {
    await phone.goesWithin(`/guide/${load}`);
    const there = await led.waitFor({ timeout: 8000 }).then(
      () => true,
      () => false,
    );
    if (there) return;
    await phone.opensBatch(load);
    await phone.movesOn();
  }
}

/** Cooks the load, lets its pressure off step by step, each confirmed by PIN, and takes it out into a tray. */
async function endsGuided(phone, load) {
  await phone.opensBatch(load);
  await phone.movesOn(); // cook
  await phone.waitsUntilReady();
  await phone.movesOn(); // release
  await goesToLetOff(phone, load);
  for (const reading of [undefined, undefined, 82]) {
    await readsOn(phone);
    await confirmsByPin(phone, reading);
    await doesIt(phone, reading);
  }
  await phone.sees("Todos los pasos están hechos");
  await phone.opensBatch(load);
  await phone.movesOn(); // rest over the oil
  await phone.waitsUntilReady();
  await phone.portions({ pieces: 12 });
}

/** What ends a cook is refused, and written down all the same. A bell that is answered in between puts the refusal away. */
async function writesItDown(phone) {
  const { page } = phone;
  const down = page.locator("[data-part=refusal]").getByRole("button", { name: /^Ya ocurrió: anotarlo/ });
  const step = page.locator("main li.now").first();
  for (let i = 0; i < 6 && !(await step.isVisible()); i++) {
    await phone.answersRings();
    await phone.does("move", page.locator("main"));
    await phone.answers();
    await down.waitFor({ timeout: 5000 }).catch(() => {});
    if (!(await down.isVisible())) continue;
    if (i === 0) await phone.looks("hire-age-urgent");
    await page.waitForFunction(() => !document.querySelector(".settling"));
    await down.tap({ timeout: 3000 }).catch(() => {});
    await step.waitFor({ timeout: 5000 }).catch(() => {});
  }
  await step.waitFor();
}

test("somebody new comes from a code to a signed pressure fryer, and somebody of 15 does not", async (t) => {
  const kitchen = await Kitchen.quick(t);
  await kitchen.asksForSignatures({ needs: { guided: 2, questions: 30, practice: 1 } }, "PT30M");
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  await maren.goesWithin("/crew");
  await maren.pokes(maren.page.locator("main a[href^='/crew/']", { hasText: "Maren" }).first());
  await maren.taps("Set your PIN");
  await maren.answers(pin);
  await maren.sees(/PIN\s*set/);

  // the first day: a page of her own, a phone that is let in
  const page = await listed(maren, "Nuria");
  const nuria = await kitchen.phone("Nuria", { stranger: true });
  await pairs(maren, nuria, "Nuria");
  await nuria.isHeldBy("Nuria");
  await nuria.sees("Guardado en cocina");
  const [pan, other] = await maren.setsPans(12, 2);
  await maren.reads("fryer-1", 168);

  // alone she may not
  await weighs(nuria, pan, 2);
  await nuria.sees("Sin autorización para «rápidas, freidora a presión»");
  assert.equal(await nuria.page.locator("main [data-do=portion]:not(.quiet)").count(), 0, "without leave nothing is loaded");
  await nuria.looks("hire-refused");

  // led by Maren she may; a critical step waits for her answer
  await nuria.pokes(nuria.page.locator("main button[data-do=guide]", { hasText: "Maren" }));
  const load = await loads(nuria);
  await nuria.goesWithin(`/guide/${load}`);
  await readsOn(nuria);
  await nuria.looks("hire-guided");
  await confirmsOnHerPhone(maren, nuria);
  await doesIt(nuria);
  await nuria.sees("Todos los pasos están hechos");
  await nuria.isSavedIn("kitchen");

  // from here on there is no signal: the cook, its end, all of a second load, the questions
  await nuria.holdsAll();
  await nuria.wifi.off();
  await nuria.isOutOfTouch();
  await endsGuided(nuria, load);
  await weighs(nuria, pan, 2); // out of the same pan: Maren leads this one too
  const again = await loads(nuria);
  await nuria.goesWithin(`/guide/${again}`);
  await readsOn(nuria);
  await confirmsByPin(nuria);
  await doesIt(nuria);
  await nuria.sees("Todos los pasos están hechos");
  await endsGuided(nuria, again);
  await answersQuestions(nuria, 10);
  await nuria.wifi.on();
  await nuria.isSavedIn("kitchen");

  // what was answered by PIN is looked at by whose PIN it is
  await maren.goesWithin("/trainer");
  for (let left = 7; left > 0; left--) {
    await maren.pokes(maren.page.locator("main a[href^='/trainer/ask/']").first());
    await maren.taps(/^It was me/);
    await maren.page.waitForURL((url) => url.pathname === "/trainer");
    await maren.page.waitForFunction((n) => document.querySelectorAll("main a[href^='/trainer/ask/']").length < n, left);
  }

  await practises(nuria);

  // signed with Maren's PIN on Nuria's phone, on the evidence
  await nuria.goesWithin(`${page}/procedure/quick/fryer`);
  await nuria.looks("hire-evidence");
  await nuria.taps("Maren autoriza");
  await nuria.answers(pin);
  await nuria.sees("con autorización");
  await nuria.isSavedIn("kitchen");

  // and then alone
  await maren.reads("fryer-1", 168);
  await weighs(nuria, other, 2);
  const own = await loads(nuria);
  await nuria.opensBatch(own);
  await nuria.doesTheSteps();
  assert.equal(await nuria.page.locator("[data-part=refusal]").count(), 0);

  // her record holds it all, on paper too
  await maren.goesWithin(page.replace("/crew/", "/crew/record/"));
  await maren.sees("Signed: Pressure fryer");
  await maren.looks("hire-record");
  const printed = maren.page.waitForEvent("download");
  await maren.taps("The whole record as PDF");
  assert.match((await printed).suggestedFilename(), /^training-crew-\d+\.pdf$/);

  // somebody of 15 is kept from the pressure fryer, and nobody can give leave
  const pau = await listed(maren, "Pau");
  await maren.goesWithin("/crew/age");
  await maren.taps("Say the country");
  await maren.answers("US");
  await maren.sees("no cooking under pressure");
  await maren.goesWithin(pau);
  await maren.taps("Note the day of birth");
  await maren.answers(`${new Date().getFullYear() - 15}-01-01`);
  await maren.sees("no pressure fryer");
  await nuria.isHeldBy("Pau");
  await nuria.opensBatch(own);
  await nuria.does("move", nuria.page.locator("main"));
  await nuria.answers();
  await nuria.sees("Una norma de edad te aparta de este trabajo");
  await nuria.sees("nada de cocinar a presión");
  await nuria.looks("hire-age");
  assert.equal(
    await nuria.page.locator("[data-part=refusal] button[data-do]", { hasText: /autoriza|guía|permiso|Hacerlo ya|anotarlo/ }).count(),
    0,
    "no leave is offered, and nothing has happened yet that could be written down",
  );
  await nuria.isRefused("Una norma de edad");

  // but what ends a pressure that somebody else made is written down, whoever stood there: the lead is told
  await nuria.isHeldBy("Nuria");
  await nuria.opensBatch(own);
  await nuria.movesOn(); // cook
  await nuria.isHeldBy("Pau");
  await nuria.opensBatch(own);
  await nuria.waitsUntilReady();
  await writesItDown(nuria);
  await nuria.does("step", nuria.page.locator("li.now"));
  await nuria.answers();
  await nuria.page.locator("[data-part=refusal]").waitFor({ state: "hidden" });
  await maren.goesWithin("/deviations");
  await maren.sees(/Release: Pau is too young for this work/);
  for (const phone of [maren, nuria]) phone.noFaults();
});
