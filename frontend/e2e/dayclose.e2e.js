// The end of a day: what is open is closed or handed on with a reason, a lead signs, and whatever is put right afterwards
// shows beside what it was.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";

/** Hands on what is open in a row of the day's close, with a reason. */
async function handsOn(phone, row, why) {
  await phone.goesWithin("/dayclose");
  await phone.taps(row);
  await phone.taps("Hand it on to tomorrow");
  await phone.seesOnTheSheet("Why does it stay open?");
  await phone.answers(why);
  await phone.sees(`Handed on: ${why}`);
}

/** Closes a list that was not done to its end: a lead may, and the steps left undone are a deviation. */
async function cutsShort(phone, list) {
  await phone.goesWithin("/dayclose");
  await phone.taps(list);
  await phone.does("list-close", phone.page.locator("main"));
  await phone.seesOnTheSheet("It opens a deviation that a lead answers.");
  await phone.does("list-close", phone.page.locator("[data-part=sheet]"));
  await phone.page.locator("main [data-do=list-close]").waitFor({ state: "hidden" });
  await handsOn(phone, new RegExp(`${list}: \\d+ steps? left undone`), "First thing tomorrow");
}

/** The seal that stands on the day's close, in fours. */
async function seal(phone) {
  const found = (await phone.text()).match(/(?:[0-9a-f]{4}\s){7,}[0-9a-f]{4}/)?.[0].replace(/\s+/g, " ");
  assert.ok(found, `no seal in: ${await phone.text()}`);
  return found;
}

test("a lead closes what is open, hands the rest on with a reason, signs; a correction afterwards shows both", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, teo] = await kitchen.phones("maren", "teo");
  await maren.isHeldBy("Maren");
  await teo.isHeldBy("Teo");
  await teo.goesWithin("/dayclose");
  await teo.sees("Only a lead may do this");
  await teo.sees("Hand the phone to a lead");
  await maren.goesWithin("/records");
  await maren.taps("Close the day");
  await maren.sees("The day has 5 things open");
  await maren.sees("Close each, or hand it on with a reason.");
  assert.equal(await maren.page.locator("main [data-do=day-close]").count(), 0, "there is nothing to sign yet");
  await maren.looks("dayclose.open.en");

  await maren.taps("Tray B");
  await maren.does("discard", maren.page.locator("main"));
  await maren.answers("past its limit");
  await maren.sees("Discarded");
  await maren.goesWithin("/dayclose");
  await maren.sees("The day has 4 things open");
  for (const list of ["Changeover", "Cleaning, mid-morning", "Closing"]) await cutsShort(maren, list);
  await maren.goesWithin("/dayclose");
  await maren.sees("The day has 1 thing open");
  await handsOn(maren, "Hold cabinet: 54.8 °C", "The fitter comes at eight.");
  await maren.looks("parts.carried.en");

  // signed out of touch: it counts on this phone, and everywhere when the phone is back
  await maren.goesWithin("/dayclose");
  await maren.holdsAll();
  await maren.wifi.off();
  await maren.sees("It signs what is on record in your name.");
  await maren.looks("dayclose.ready.en");
  await maren.taps("Close and sign");
  await maren.sees("Closed by");
  await maren.sees("What was signed is what is there now.");
  await maren.sees(/Hold cabinet: 54\.8.*The fitter comes at eight\./s);
  await maren.looks("dayclose.signed.en");
  const signed = await seal(maren);
  await maren.wifi.on();
  await maren.isSavedIn("kitchen");
  await teo.sees("Closed by");
  assert.equal(await seal(teo), signed, "both phones show the same seal");

  // after the close: what was typed wrong is put right, and both stay
  await teo.goes("/hold");
  const tray = await teo.firstTray();
  await teo.sellsOne(tray);
  await teo.goesWithin(`/batch/${tray}/history`);
  await teo.pokes(teo.page.locator("li", { hasText: "Sold 1" }).first().getByRole("button", { name: "Correct" }));
  await teo.types("2");
  await teo.does("correct", teo.page.locator("[data-part=sheet]"));
  await teo.sees("Sold 2");
  await teo.sees("corrected");
  await teo.looks("history.corrected.en");
  await maren.goesWithin("/dayclose");
  await maren.sees("2 entries of that day were made after it.");
  assert.equal(await seal(maren), signed, "what was signed stays");
  await maren.looks("dayclose.after.en");
  await maren.taps("Close and sign");
  await maren.sees("What was signed is what is there now.");
  assert.notEqual(await seal(maren), signed);
  await allAgree([maren, teo]);
  maren.noFaults();
  teo.noFaults();
});
