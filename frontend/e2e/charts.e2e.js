// How steady a kitchen works: charts with the rule that speaks named, cook times by weight, tubs that are too small.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

const parts = (phone, selector) => phone.page.locator(`main svg.chart ${selector}`);

test("a chart names the rules that speak, shows points and values from the first on, and limits from the tenth", async (t) => {
  const kitchen = await Kitchen.past(t, "week");
  const [maren, ines] = await kitchen.phones("Maren", "Inés");
  await maren.isHeldBy("Maren");
  await ines.isHeldBy("Inés");
  await maren.goesWithin("/more");
  await maren.taps("Consistency");
  await maren.sees(/Fryer 1, oil.*a sign of change/);
  await maren.looks("charts.en");
  await maren.taps("Fryer 1, oil");
  for (const rule of [
    /169\.3\s°C \([\w ]*\d\d:\d\d\) is above the limit of 169\.2\s°C\./,
    "2 of 3 values are far above the mean",
    "4 of 5 values are well above the mean",
    "8 values in a row are above the mean",
    /A jump of 1\.9\s°C \([\w ]*\d\d:\d\d\), over the limit of 1\.5\s°C\./,
    "A lead should look for what has changed.",
    "what it does, not what it may. The procedure's limits count.",
    "Rules: Western Electric (1956), Nelson (1984), from memory.",
  ])
    await maren.sees(rule);
  assert.ok((await parts(maren, ".c-sign").count()) >= 2, "what a rule names has a mark of its own");
  await maren.looks("chart.signs.en");
  await ines.goesWithin("/chart/place/fryer-2");
  await ines.sees("Ninguna regla dice que algo haya cambiado.");
  assert.equal(await parts(ines, ".c-sign").count(), 0);
  await ines.looks("chart.steady.es");
  await ines.goesWithin("/chart/received/bone-in"); // what was weighed at the door, to the gram
  await ines.sees(/de 1,29\skg a 1,38\skg/);

  // a first value has its point and says what it is; limits come with the tenth
  await maren.holdsAll();
  await maren.wifi.off();
  await maren.reads("cold-room", "2.4");
  await maren.taps("Chart");
  await maren.sees("1 value so far. Limits need 10.");
  await parts(maren, "text")
    .filter({ hasText: /2\.4\s°C/ })
    .first()
    .waitFor();
  assert.equal(await parts(maren, ".c-spot").count(), 1);
  for (const degrees of ["2.6", "2.5", "2.7", "2.4", "2.6", "2.5", "2.7", "2.5"]) await maren.reads("cold-room", degrees);
  await maren.taps("Chart");
  await maren.sees("9 values so far. Limits need 10.");
  for (const value of [/2\.7\s°C/, /2\.4\s°C/]) await parts(maren, "text").filter({ hasText: value }).first().waitFor();
  await maren.doesNotSee("Upper limit");
  await maren.looks("chart.few.en");
  await maren.wifi.on();
  await ines.goesWithin("/chart/place/cold-room");
  await ines.sees("9 valores hasta ahora");
  await ines.looks("chart.few.es");
  await maren.reads("cold-room", "2.6");
  await maren.taps("Chart");
  await maren.sees("Upper limit");
  maren.noFaults();
  ines.noFaults();
});

test("a cook time follows the weight of a unit by the supplier's table, and is refused beyond it", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [teo, ines] = await kitchen.phones("teo", "inés");
  await teo.isHeldBy("Teo");
  await ines.isHeldBy("Inés");
  await teo.holdsAll();
  await teo.wifi.off();
  await teo.goesWithin("/start/bone-in");
  await teo.taps("Cook time by weight");
  const table = await teo.page.locator("main dl, main table").last().innerText();
  const rows = [...table.matchAll(/([\d.]+)\s*k?g/g)].map((found) => found[1]);
  assert.ok(rows.length >= 3, `the table's rows stand there: ${table}`);
  const asks = async (weight, ...says) => {
    await teo.types(weight);
    for (const one of says) await teo.sees(one);
    await teo.erases(String(weight).length);
  };
  await asks(rows[1], `For ${rows[1]}`, "A row of the table.");
  await asks("1.33", "For 1.33 kg", "Estimate, between rows of the table by a steady curve.", "probe the thickest piece of the first load");
  await teo.types("1.33");
  await teo.looks("cooktime.en");
  await teo.erases(4);
  await asks("9", "No time for 9 kg", "Ask the supplier, or send these units back.");
  await ines.goesWithin("/cooktime/bone-in?g=0.3");
  await ines.sees("No hay tiempo para 300 g");
  await ines.looks("cooktime.es");
  teo.noFaults();
  ines.noFaults();
});

test("a tub says what it takes: room, salt, what floats and what is too much; pick-up stands where a tub went into pans", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [teo, ines] = await kitchen.phones("teo", "inés");
  await teo.isHeldBy("Teo");
  await ines.isHeldBy("Inés");
  await teo.holdsAll();
  await teo.wifi.off();
  await teo.goesWithin("/start/bone-in");
  await teo.types("14");
  await teo.sees("Headroom");
  await teo.sees(/\d+(\.\d)? % salt, \d+(\.\d)? °SAL, specific gravity 1\.\d+ \(estimate\)/);
  await teo.looks("start.en");
  for (const [at, ...says] of [
    ["g=90000", "90000.0 kg cannot be meant", "The most that fits here is 2000 kg."],
    ["g=40&tubs=1", "40.0 kg in one is 24.0 kg too much", "At most 16 kg in one.", "Use more of them."],
    ["g=14&holds=9", "The tub is too small by 14.5 L", "it holds 9.0 L"],
  ]) {
    await teo.goesWithin(`/start/bone-in?${at}`);
    for (const one of says) await teo.sees(one);
    assert.equal(await teo.page.locator("[data-do=start]").count(), 0, `nothing to start at ${at}`);
  }
  await teo.goesWithin("/start/bone-in?g=14");
  await teo.taps("How these are worked out");
  await teo.sees("The Salometer and how to use it");
  await teo.sees("from memory");
  await teo.goesWithin("/start/bone-in?g=14&holds=15");
  await teo.sees("The tub is too small by");
  await teo.sees("An overfull tub drips raw juice.");
  await teo.looks("start.small.en");
  assert.equal(await teo.page.locator("[data-do=start]").count(), 0, "it is not filled as it is");
  await teo.taps(/^Take \d tubs/);
  await teo.doesNotSee("The tub is too small");
  await ines.goesWithin("/start/bone-in?g=14&holds=15");
  await ines.sees("A la cubeta le faltan");
  await ines.looks("start.small.es");

  await teo.goesWithin("/hold");
  await teo.goesWithin(`/batch/${await teo.firstTray()}`);
  await teo.taps(/From Tub \d/);
  await teo.sees(/Pick-up/);
  await teo.sees(/% *: [\d.]+\skg in, [\d.]+\skg out; usual are 5 to 20 % \(from memory\)/);
  teo.noFaults();
  ines.noFaults();
});
