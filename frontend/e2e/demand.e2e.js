// What will be asked for: the forecast in words, numbers over it, days unlike others, a till's file; and who asks in vain.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

/** A till's file: some days of sales, the newest so many days ago, and rows besides. */
function till(days, more = []) {
  const rows = ["date,time,product,qty"];
  for (let back = 3; back < 3 + days; back++) {
    const day = new Date(Date.now() - back * 86_400_000).toISOString().slice(0, 10);
    rows.push(`${day},12:05,Bone-in pieces,12`, `${day},12:20,Family box,3`, `${day},18:11,Cola,30`);
  }
  return { name: "till.csv", mimeType: "text/csv", buffer: Buffer.from([...rows, ...more, ""].join("\n")) };
}

const chooses = (phone, file) => phone.page.locator("input[type=file]").setInputFiles(file);

test("the forecast is said in words, and what the lead knows better stands over it", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, ines] = await kitchen.phones("Maren", "Inés");
  await maren.isHeldBy("Maren");
  await ines.isHeldBy("Inés");
  await maren.goesWithin("/plan/demand");
  await maren.sees(/Noon boat 12:05\s*\d+ pieces: enough \d+ days in \d+/);
  await maren.sees("of them on the same weekday");
  await maren.looks("demand.en");
  await maren.pokes(maren.page.locator('a[href*="/bone-in/"]').nth(3));
  await maren.sees("Be ready for");
  await maren.sees(/Enough 9 days in 10\s*\d+ pieces/);
  await maren.taps("Type a number");
  await maren.answers("77");
  await maren.sees("77 pieces, typed");
  await maren.taps("Add an order");
  await maren.answers("20");
  await maren.sees("20 of them ordered");
  await maren.looks("demand.span.en");
  await ines.goesWithin("/plan/demand");
  await ines.sees("77 piezas, a mano, 20 por encargo"); // on the other phone too
  await ines.looks("demand.es");
  await maren.pokes(maren.page.locator("button[data-do=demand]", { hasText: "Take back" }).first());
  await maren.sees(/\d+ pieces: enough \d+ days in \d+, 20 of them ordered/);
  await maren.taps("How good this has been");
  await maren.sees(/On \d+ of the last \d+ days/);
  await maren.looks("demand.how.en");

  await ines.goesWithin("/plan/events");
  await ines.sees("Escribe desde cuándo hasta cuándo vienen");
  await ines.fills("f", "15:30");
  await ines.fills("t", "17:00");
  await ines.types("40");
  await ines.sees("Pedirán más o menos");
  await ines.looks("events.es");
  await ines.taps("Anotar 40 comensales");
  await ines.answers("Autobús");
  await ines.sees("40 comensales de más, 15:30–17:00: Autobús");
  await maren.goesWithin("/plan/events");
  await maren.sees("40 guests on top, 15:30–17:00: Autobús");
  await maren.looks("events.en");
  await maren.sees("25 pieces for ten guests (common practice");
  await maren.taps("Change it");
  await maren.answers("32");
  await maren.sees("32 pieces for ten guests, as told by a lead");
  await ines.sees("32 piezas por diez comensales");
  maren.noFaults();
});

test("a till's file is put right, brought in out of touch, and changes nothing the second time", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  await maren.holdsAll();
  await maren.wifi.off();
  await maren.goesWithin("/plan/import");
  await chooses(maren, till(10, ["Total,,,450", "2026-02-30,12:00,Bone-in pieces,4"]));
  await maren.sees("2 rows cannot be read");
  await maren.sees("Line 32: it names no item");
  await maren.sees('Line 33: "2026-02-30" is no day');
  assert.equal(
    await maren.page.locator("button[data-do=sales]", { hasText: "Bring in" }).count(),
    0,
    "nothing comes in before it is right",
  );
  await maren.looks("import.bad.en");
  await chooses(maren, till(10));
  await maren.sees("120 pieces on 10 days");
  await maren.taps("Family box");
  await maren.pokes(maren.page.locator('a[href*="n1=bone-in"]').first());
  await maren.sees("Pieces in one of it");
  await maren.types("4");
  await maren.looks("import.name.en");
  await maren.taps("That is it");
  await maren.sees("Bone-in, 4 pieces each");
  await maren.sees("240 pieces on 10 days");
  await maren.looks("import.en");
  await maren.taps("Bring in 10 days");
  await maren.sees("bringing it in again changes nothing");
  await chooses(maren, till(10));
  await maren.sees("bringing it in again changes nothing");
  await maren.wifi.on();
  await maren.isSavedIn("kitchen");
  await maren.taps("Take out"); // of the first item
  await maren.answers("");
  await maren.sees("Bring in 10 days");
  maren.noFaults();
});

test("who asks in vain is told with one tap, and taken back with another", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const ines = await kitchen.phone("Inés");
  await ines.isHeldBy("Inés");
  await ines.goesWithin("/hold");
  const wedges = ines.strip("none-wedges"); // sold every day, and no tray of them stands there
  await wedges.waitFor();
  await ines.pokes(wedges.getByRole("button"));
  await ines.sees("Pedido en vano hoy: 1");
  await ines.looks("hold.es");
  await ines.taps("Deshacer");
  await ines.doesNotSee("Pedido en vano hoy");
  ines.noFaults();
});
