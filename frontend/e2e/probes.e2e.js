// Thermometers are held against ice and boiling water. One that is off puts in doubt what was read with it since it was
// last good, on every phone, until a lead has judged it: seven things are written down and signed before it is closed.
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";

/** Opens a way to check a probe and types what it reads. */
async function checks(phone, probe, way, reads) {
  await phone.goesWithin(`/probe/${probe}`);
  await phone.taps(way);
  await phone.types(reads);
}

const keeps = (phone) => phone.does("check");

test("a probe is checked in ice and at the kitchen's boiling point; a number that cannot be is refused", async (t) => {
  const kitchen = await Kitchen.past(t, "week");
  const [maren, ines] = await kitchen.phones("Maren", "Inés");
  await maren.isHeldBy("Maren");
  await ines.isHeldBy("Inés");
  await maren.goesWithin("/probes");
  await maren.sees(/Probe 1.*Limit met.*good check until/s);
  await maren.looks("probes.en");
  await checks(maren, "probe-2", "In ice water", "0.4");
  await maren.sees("-1.0 to 1.0 °C");
  await maren.sees("Limit met, 0.6 °C below");
  await keeps(maren);
  await maren.sees("Last check: reads 0.4 °C too much");

  await checks(maren, "probe-2", "In boiling water", "100");
  await maren.sees(/Steam and boiling water scald.*Should read 98\.9\d?\s°C at 310\sm/s);
  await maren.sees("0.06 °C over the limit"); // 100 °C is right at the sea, and too much up here
  await maren.sees("IAPWS-IF97, equation 31");
  await maren.looks("probe.boiling.en");
  await maren.erases(3);
  await maren.types("98.5");
  await keeps(maren);
  await maren.sees("Last check: reads 0.44 °C too little");

  await checks(maren, "probe-2", "In ice water", "900");
  await keeps(maren);
  await maren.isRefused("900.0 °C cannot be meant", "The most that fits here is", "type it again");
  await ines.goesWithin("/probe/probe-2?by=ice");
  await ines.sees("Debe marcar 0,0 °C");
  await ines.types("0.4");
  await ines.sees("Límite cumplido");
  await ines.looks("probe.ice.es");
  maren.noFaults();
  ines.noFaults();
});

const parts = [
  ["Cause, and that it is gone", "Stem bent on the tub's rim; put away"],
  ["Product held: which, where, how much", "All trays of the day, cabinet, marked"],
  ["What the product was judged by", "Each read again with probe 2"],
  ["What became of the product", "All above 57 °C with probe 2: served"],
  ["Correction: how the step came under control", "Probe 2 in use at both fryers"],
  ["What keeps it from happening again", "Probes hang on the hook, not in tubs"],
  ["Verification that it worked", "Looked at the hook and at a week of checks"],
];

test("a probe that fails puts its readings under review on both phones; seven signed parts and a good check end it", async (t) => {
  const kitchen = await Kitchen.past(t, "week");
  const [teo, maren] = await kitchen.phones("Teo", "Maren");
  await teo.isHeldBy("Teo");
  await maren.isHeldBy("Maren");

  // out of touch: the check counts on this phone at once, and for everybody when it is back
  await teo.holdsAll();
  await teo.wifi.off();
  await checks(teo, "probe-1", "In ice water", "1.6");
  await teo.sees("0.6 °C over the limit");
  await teo.sees(/\d\d readings with it go under review/);
  await teo.looks("probe.off.en");
  await keeps(teo);
  await teo.sees("reads 1.6 °C too much");
  await teo.sees("Read nothing with it.");
  await teo.isOutOfTouch();
  await teo.wifi.on();
  await teo.isSavedIn("kitchen");
  await maren.goesWithin("/probes");
  await maren.sees(/Probe 1.*Do not use.*reads 1\.6\s°C too much/s);
  await maren.sees(/Probe 2.*Limit met/s);
  await maren.taps("Probe 1");
  await maren.taps("Deviation");
  await maren.sees(/Probe 1 is off: \d\d readings with it are under review/);
  for (const phone of [maren, teo]) {
    await phone.goesWithin("/records");
    await phone.taps(/^Today/);
    await phone.sees(/169\.3\s°C.*Fryer 1, Probe 1, under review: its probe was off/);
  }
  await maren.looks("records.review.en");
  await maren.goesWithin("/deviations");
  await maren.taps("Probe 1 is off");

  // it cannot be closed before all is written down; a cook may write all but the verification
  await maren.sees("not written down");
  await maren.doesNotSee("Write what was done, and close");
  const deviation = maren.path;
  await maren.looks("parts.open.en");
  await teo.goesWithin(deviation);
  await teo.taps("Verification that it worked");
  await teo.answers("it did");
  await teo.isRefused("Only a lead may do this", "Hand the phone to a lead");
  for (const [part, said] of parts) {
    const who = part.startsWith("Verification") ? maren : teo;
    await who.taps(new RegExp(`^${part}`));
    await who.answers(said);
    await who.sees(`${part}: ${said}`);
    await (who === maren ? teo : maren).sees(said);
  }
  await maren.doesNotSee("not written down");
  await maren.looks("parts.done.en");
  await maren.taps("Write what was done, and close");
  await maren.answers("Every reading judged by probe 2.");
  await maren.sees("Every reading judged by probe 2.");
  await teo.sees("Every reading judged by probe 2.");
  await teo.goesWithin("/records");
  await teo.taps(/^Today/);
  await teo.sees("169.3 °C");
  await teo.doesNotSee("under review: its probe");

  // and the probe comes back by a good check alone
  await teo.goesWithin("/probes");
  await teo.sees("Do not use");
  await checks(teo, "probe-1", "In ice water", "0.2");
  await keeps(teo);
  await teo.sees("Last check: reads 0.2 °C too much");
  await maren.goesWithin("/probes");
  await maren.doesNotSee("Do not use");
  await allAgree([teo, maren]);
  teo.noFaults();
  maren.noFaults();
});
