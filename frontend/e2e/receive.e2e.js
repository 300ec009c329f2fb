// A delivery at the door: what came, from whom, how warm, how heavy. What is off its limit is said while it is typed, opens
// a deviation, and proposes the time for units of another weight.
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";
import { allAgree } from "./lib/phone.js";

/** Fills in what a delivery is. */
async function writes(phone, { supplier = "Marsh Farm", lot, kg = "60", units = "", degrees = "" }) {
  await phone.goesWithin("/receive/bone-in");
  await phone.fills("by", supplier);
  await phone.fills("lot", lot);
  await phone.fills("kg", kg);
  if (units) await phone.fills("w", units);
  if (degrees) await phone.types(degrees);
}

test("units off their weight and a warm delivery are said while they are typed, and open deviations on the other phone", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [teo, maren] = await kitchen.phones("teo", "maren");
  await teo.isHeldBy("Teo");
  await maren.isHeldBy("Maren");

  // nobody at the door has signal: all of it works on the phone, and goes to the kitchen later
  await teo.holdsAll();
  await teo.wifi.off();
  await teo.goesWithin("/records");
  await teo.taps("Receiving");
  await teo.taps("Bone-in pieces");
  await teo.sees("Do not rinse it");
  await writes(teo, { lot: "FR-2700", units: "1.52 1.31" });
  await teo.sees("A unit may weigh 1.15 to 1.45 kg.");
  await teo.sees("1.52 kg: 70 g over the limit");
  await teo.doesNotSee("1.31 kg:");
  await teo.types("3.1");
  await teo.sees("Limit met, 1.9 °C below");
  await teo.looks("receive.weights.en");
  await teo.taps("Take it in");
  await teo.sees(/Marsh Farm, lot FR-2700, 60\.0\skg, 3\.1\s°C/);
  await teo.looks("receive.list.en");
  await teo.goesWithin("/deviations");
  await teo.taps("A unit of lot FR-2700 weighs 1.52 kg, 70 g more than it may");
  await teo.sees("Its cook time changes. Prove the first load with a probe.");
  await teo.sees(/For 1\.52\skg: 1\d\smin/);
  await teo.sees("Estimate");
  await teo.sees("probe the thickest piece of the first load before any is served");
  await teo.looks("receive.time.en");
  await teo.wifi.on();
  await maren.goesWithin("/deviations");
  await maren.sees("A unit of lot FR-2700 weighs 1.52 kg");

  await writes(teo, { lot: "FR-2701", units: "0.7", degrees: "7.2" });
  await teo.sees("700 g: 450 g under the limit");
  await teo.sees("2.2 °C over the limit"); // on the button too, since the verdict may lie below the fold
  await teo.taps("Take it in");
  await maren.sees("The delivery of lot FR-2701 read 7.2 °C, 2.2 °C over its limit");
  await maren.taps("The delivery of lot FR-2701");
  await maren.sees("Set it apart, cold and marked.");
  await maren.sees("not written down"); // the limit is a critical one
  await maren.looks("receive.warm.en");
  await maren.goesWithin("/deviations");
  await maren.taps("A unit of lot FR-2701 weighs 700 g, 450 g less than it should");
  await maren.sees("No time for 700 g");
  await maren.sees("Ask the supplier, or send these units back.");

  // and one goes back, with a reason
  await writes(teo, { lot: "FR-2702", degrees: "9" });
  await teo.taps("Send it back");
  await teo.page.locator("[data-part=sheet] textarea").fill("Warm, and the boxes are torn");
  await teo.does("deliver", teo.page.locator("[data-part=sheet]"));
  await teo.seesOnTheSheet("It stands in the record either way.");
  await teo.does("deliver", teo.page.locator("[data-part=sheet]"));
  await teo.sees(/lot FR-2702, 60\.0\skg, 9\.0\s°C, sent back/);
  await maren.goesWithin("/receive");
  await maren.sees(/lot FR-2702.*sent back.*lot FR-2701.*lot FR-2700/s);
  await allAgree([teo, maren]);
  teo.noFaults();
  maren.noFaults();
});

test("a delivery that is not written down whole, or cannot be, says what is missing and loses nothing", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const ines = await kitchen.phone("inés");
  await ines.isHeldBy("Inés");
  const says = async (...words) => {
    for (const one of words) await ines.sees(one);
  };
  await writes(ines, { supplier: "", lot: "FR-2703", units: "abc" });
  await says("abc", "Esto aún no es un número");
  await ines.looks("receive.es");
  await ines.fills("w", "1,31");
  await ines.fills("kg", "6000000");
  await ines.fills("by", "Granja Marisma");
  await ines.types("3");
  await says("no puede ser", "Lo máximo aquí es", "Revisa el número y la unidad");
  await ines.fills("kg", "60");
  await ines.page.getByText("no puede ser").waitFor({ state: "hidden" });
  await ines.fills("lot", "");
  await says("Falta el proveedor o el lote");
  await ines.fills("lot", "FR-2703");
  await ines.erases(1);
  await says("Falta la temperatura");
  await ines.types("3");
  await ines.taps("Aceptarla");
  await ines.sees("Granja Marisma, lote FR-2703, 60,0 kg, 3,0 °C");
  ines.noFaults();
});
