// What somebody who leads looks at: who is ready tomorrow, which steps make trouble, what age keeps from whom; and first aid, which
// anybody must find with no signal.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

test("a lead sees which station has nobody tomorrow, and says the country whose rules about age are held", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  await maren.goesWithin("/crew/ready");
  await maren.sees("No document names a competence");
  await kitchen.asksForSignatures();
  await maren.sees("Nobody");
  await maren.sees("Pressure fryer, quick");
  await maren.sees(/Nearest: \w+ \(0 of 1 guided runs, questions known 0\s% of 20\s%, a signature\)/);
  await maren.sees("Nothing about age is held here");
  await maren.looks("crew.ready");

  await maren.goesWithin("/crew/age");
  await maren.taps("Say the country");
  await maren.answers("US");
  await maren.sees("no cooking under pressure");
  await maren.sees("29 CFR 570.34(c), from memory");
  await maren.sees("Local law may be stricter");
  await maren.sees("Without a day of birth");
  await maren.looks("crew.age");
  await maren.goesWithin("/crew/ready");
  await maren.sees("Without a day of birth");
  maren.noFaults();
});

test("a lead sees which step makes trouble, in touch from the kitchen's journal and alone from the phone", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("Maren");
  await maren.isHeldBy("Maren");
  await maren.startsATub("quick", 6, "FR-1");
  await maren.doesTheSteps(9); // °C: over its limit
  await maren.isSavedIn("kitchen");
  await maren.goesWithin("/crew/steps");
  await maren.sees("Look at these");
  await maren.sees("1 deviation (last 9.0 °C, limit 5.0 °C)");
  await maren.looks("crew.steps");
  await maren.pokes(maren.page.locator("main a[href^='/crew/steps/of/procedure/quick/mix/']").first());
  await maren.sees("Is the limit what the equipment can hold?");
  await maren.sees("Numbers that were off");
  await maren.looks("crew.step");
  await maren.holdsAll();
  await maren.wifi.off();
  await maren.isOutOfTouch();
  await maren.goesWithin("/crew/steps");
  await maren.sees("Out of touch: only what this phone holds");
  await maren.sees("1 deviation");
  maren.noFaults();
});

test("a training record that is not theirs is refused in the words of whoever holds the phone, and their own is given", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const ines = await kitchen.phone("Inés");
  await ines.isHeldBy("Inés");
  await ines.page.evaluate(() => {
    const link = document.createElement("a");
    link.href = "/api/training?crew=maren&lang=es&by=ines";
    document.getElementById("app").append(link);
    link.click();
    link.remove();
  });
  await ines.sees("El registro de formación de Maren Oduya no es para Inés Calloway");
  await ines.sees("pasa el móvil a uno de ellos");
  await ines.looks("record.refused.es");
  await ines.goesWithin("/crew/record/ines");
  const saved = ines.page.waitForEvent("download");
  await ines.taps("El registro entero en PDF");
  assert.equal((await saved).suggestedFilename(), "training-ines.pdf");
  ines.faults = ines.faults.filter((line) => !/status of 403/.test(line)); // the browser's own line about what was refused
  ines.noFaults();
});

test("first aid is one tap from a caution, and from the menu, without any signal", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const ines = await kitchen.phone("Inés");
  await ines.isHeldBy("Inés");
  await ines.holdsAll();
  await ines.wifi.off();
  await ines.isOutOfTouch();
  await ines.goesWithin("/more");
  await ines.taps(/^Primeros auxilios/);
  await ines.sees("Enfriar 20 minutos");
  await ines.sees("no sustituyen a un socorrista");
  await ines.looks("firstaid.es");
  const aid = ines.page.locator("main .caution a.aid").first();
  for (const id of await ines.batchesOf("/")) {
    if (await aid.isVisible()) break;
    await ines.opensBatch(id); // until one stands at a fryer
  }
  await ines.pokes(aid);
  await ines.page.waitForURL((url) => url.pathname === "/firstaid");
  await ines.sees("Nunca agua sobre aceite en llamas");
  ines.noFaults();
});
