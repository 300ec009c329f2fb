// Who may do what: a refusal with its ways on, a lead's leave, a signature with a PIN, lapse and taking back.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

const sheet = (phone) => phone.page.locator("[data-part=sheet]");

/** Types a PIN on the sheet that is open, and goes on. */
async function typesPin(phone, pin) {
  await sheet(phone).locator(".pad").waitFor();
  const title = await sheet(phone).locator("h2").textContent();
  await phone.types(pin);
  assert.equal(await sheet(phone).locator("output .n").textContent(), "•".repeat(pin.length), "its digits are not shown");
  await phone.pokes(sheet(phone).locator("button[data-do]").first());
  await phone.page.waitForFunction((old) => document.querySelector("[data-part=sheet] h2")?.textContent !== old, title);
}

/** Writes words on the sheet that is open, and goes on. */
async function writes(phone, words) {
  await sheet(phone).locator("textarea").fill(words);
  await phone.pokes(sheet(phone).locator("button[data-do]").first());
}

/** A tub's form, filled in. */
async function fillsATub(phone) {
  await phone.goesWithin("/start/bone-in");
  await phone.types("9");
  await phone.page.locator("input.field").first().fill("FR-9");
}

test("nobody begins alone what nobody signed them off for; a lead's leave goes on record, a signature with a PIN opens it", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, jun] = await kitchen.phones("Maren", "Jun");
  await maren.isHeldBy("Maren");
  await jun.isHeldBy("Jun");

  // refused beforehand, with why and three ways on
  await fillsATub(jun);
  await jun.sees("No sign-off for “bone-in, tubs and marinade”");
  await jun.sees("Nobody has signed that you can do this alone.");
  await jun.sees("Maren Oduya lets it be done");
  await jun.looks("matrix-refused");
  assert.equal(await jun.page.locator("main [data-do=start].act:not(.quiet)").count(), 0, "there is no button that would begin it");

  // a lead gives leave for a reason: a deviation
  const before = await maren.deviations();
  await jun.taps("Maren Oduya lets it be done");
  await writes(jun, "Salma is ill, I stand beside him");
  await jun.page.waitForFunction(() => !document.documentElement.dataset.path.startsWith("/start"));
  await maren.page.waitForFunction(() => globalThis.brinebell?.live);
  await maren.goesWithin("/deviations");
  await maren.sees("Jun Abara has no sign-off");
  assert.equal(await maren.deviations(), before + 1);

  // the matrix, a person a row, then work by work
  await maren.goesWithin("/crew");
  await maren.sees(/Jun Abara.*1 signed off, 12 not signed off/s);
  await maren.looks("matrix-crew");
  await maren.taps("Work by work");
  await maren.sees(/Pressure fryer, bone-in.*signed off: Inés, Maren, Salma, Teo; not signed off: Jun/s);
  await maren.looks("matrix-work");

  // a PIN of one's own: asked twice, and the two must agree
  await maren.goesWithin("/crew/maren");
  await maren.taps(/^Set your PIN/);
  await typesPin(maren, "2749");
  await typesPin(maren, "2748");
  await maren.isRefused("The two PINs differ");
  await maren.taps(/^Set your PIN/);
  await typesPin(maren, "1234");
  await typesPin(maren, "1234");
  await maren.isRefused("A PIN has 4 to 8 digits");
  await maren.taps(/^Set your PIN/);
  await typesPin(maren, "2749");
  await typesPin(maren, "2749");
  await maren.sees("Change your PIN");
  await maren.isSavedIn("kitchen");

  // on Jun's phone, out of touch: Maren's PIN; a wrong one is refused
  const work = "/crew/jun/procedure/bone-in/tubs";
  await jun.goesWithin("/crew/maren");
  await jun.sees(/PIN.*set/s);
  await jun.holdsAll();
  await jun.wifi.off();
  await jun.isOutOfTouch();
  await jun.goesWithin(work);
  await jun.sees(/Guided runs of each stage.*0 of 2/s);
  await jun.looks("matrix-person-work");
  await jun.taps("Maren Oduya: on grounds of experience");
  await writes(jun, "Two summers at the pier");
  await typesPin(jun, "2750");
  await jun.isRefused("This is not the PIN of Maren Oduya");
  await jun.taps("Maren Oduya: on grounds of experience");
  await writes(jun, "Two summers at the pier");
  await jun.looks("matrix-pin");
  await typesPin(jun, "2749");
  await jun.sees("Two summers at the pier");
  await jun.sees("signed off");
  assert.doesNotMatch(jun.page.url(), /2749/, "no PIN stands in an address");
  assert.doesNotMatch(await jun.page.content(), /2749/, "nor on the page");
  await fillsATub(jun);
  await jun.does("start");
  await jun.page.waitForFunction(() => !document.documentElement.dataset.path.startsWith("/start"));
  await jun.wifi.on();
  await jun.isSavedIn("kitchen");

  // Maren sees it, and takes it back with a reason
  await maren.goesWithin(work);
  await maren.sees("Two summers at the pier");
  await maren.taps("Take it back");
  await writes(maren, "left a tub warm");
  await maren.sees("taken back");
  await maren.looks("matrix-back");
  await fillsATub(jun);
  await jun.sees("No sign-off for “bone-in, tubs and marinade”");
  for (const phone of [maren, jun]) phone.noFaults();
});

test("what is under pressure is ended by whoever stands there, in Spanish, and the lead is told", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const jun = await kitchen.phone("Jun");
  await jun.isHeldBy("Inés"); // Spanish
  await jun.goesWithin("/crew");
  await jun.sees(/Jun Abara.*1 con autorización, 12 sin autorización/s);
  await jun.looks("matrix-crew.es");
  await jun.isHeldBy("Jun");
  await jun.goesWithin("/");
  const load = jun.page.locator("main a[href^='/batch/']", { hasText: /Fryer 1/ }).first();
  await load.waitFor();
  const path = await load.getAttribute("href");
  await jun.goesWithin(path);
  await jun.page.locator("main [data-do=move]").first().waitFor();
  const before = await jun.deviations();
  await jun.goesWithin(path);
  await jun.does("move", jun.page.locator("main"));
  if (await sheet(jun).isVisible()) await jun.pokes(sheet(jun).locator("button[data-do]").first());
  await jun.page.locator("[data-part=refusal]", { hasText: "No sign-off for" }).waitFor();
  await jun.looks("matrix-urgent");
  await jun.taps(/^Do it now/);
  await jun.page.locator("[data-part=refusal]").waitFor({ state: "hidden" });
  await jun.goesWithin("/deviations");
  await jun.sees("Jun Abara has no sign-off");
  assert.equal(await jun.deviations(), before + 1);
  jun.noFaults();
});
