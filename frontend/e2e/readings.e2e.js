// A logger's file is read on a phone, a sensor is paired and posts: what each of them leaves, and what is asked first.
import assert from "node:assert/strict";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

const shots = process.env.SHOTS;

/** A picture of the page, where somebody wants to look. */
async function shot(phone, name) {
  if (!shots) return;
  await mkdir(shots, { recursive: true });
  await phone.page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
}

/** Nothing on the page is wider than the phone. */
async function fits(phone) {
  const wide = await phone.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, `the page is ${wide} px wider than the phone`);
}

const minutesAgo = (n) => new Date(Date.now() - n * 60_000);
const file = (name, text) => ({ name, mimeType: "text/csv", buffer: Buffer.from(text) });
const chooses = (phone, what) => phone.page.locator("input[type=file]").setInputFiles(what);

test("a logger's file is looked at, asked about, kept, and changes nothing the second time", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("maren");
  await maren.isHeldBy("Maren");
  await maren.goesWithin("/import");
  await maren.page.locator("#import-place").waitFor();
  await shot(maren, "import-empty");
  assert.ok(await maren.page.locator("input[type=file]").isDisabled(), "no file before somebody says where it was read");
  await maren.page.locator("#import-place").selectOption("cold-room");

  await chooses(maren, file("kaputt.csv", "just words\nand more words\n"));
  await maren.sees("No columns were found");

  const rows = ["04/05/2026 05:00;3,2", "04/05/2026 05:15;ERR", "05/05/2026 05:15;3,6"];
  await chooses(maren, file("week.csv", `Serial;12345\r\nFecha;Temp\r\n${rows.join("\r\n")}\r\n`));
  await maren.sees("Which day does the first row tell of?");
  await maren.sees("In which unit");
  assert.equal(await maren.page.locator("[data-do=keep]").count(), 0, "nothing is kept while it asks");
  await shot(maren, "import-asks");
  await fits(maren);
  await maren.pokes(maren.page.locator("[data-answer=dmy]"));
  await maren.page.locator("[data-answer=dmy]").waitFor({ state: "detached" });
  await maren.pokes(maren.page.locator("[data-answer=Cel]"));
  await maren.sees("Row 2");
  await maren.sees('"ERR" is no temperature');
  await maren.sees("Keep 2 readings");
  await shot(maren, "import-preview");
  await maren.page.locator("[data-do=keep]").scrollIntoViewIfNeeded();
  await shot(maren, "import-preview-end");
  await fits(maren);
  await maren.pokes(maren.page.locator("[data-do=keep]"));
  await maren.sees("2 readings kept, 0 known before, 1 rows not readable.");
  await shot(maren, "import-done");

  await maren.goesWithin("/sensors");
  await shot(maren, "sensors-files");
  await maren.sees("logger");
  await maren.goesWithin("/import");
  await maren.page.locator("#import-place").selectOption("cold-room");
  await chooses(maren, file("again.csv", `Time;Temp °C\n2026-05-04 05:00;3.2\n2026-05-05 05:15;3.6\n`));
  await maren.sees("Nothing new in this file");
  assert.ok(await maren.page.locator("[data-do=keep]").isDisabled());
  maren.faults = maren.faults.filter((text) => !text.includes("400 (Bad Request)")); // the browser's own word for the first file
  maren.noFaults();
});

test("a lead pairs a sensor, its readings show, what goes beyond the limit opens a deviation, and it is taken off again", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = await kitchen.phone("maren");
  await maren.isHeldBy("Maren");
  await maren.goesWithin("/sensors");
  await maren.page.locator("#sensor-name").fill("Cold room, back");
  const cold = maren.page.locator("fieldset.checks input[value=cold-room]");
  const place = await cold.getAttribute("value");
  await cold.check();
  await shot(maren, "sensors-pair");
  await fits(maren);
  await maren.pokes(maren.page.locator("[data-do=pairsensor]"));
  const token = (await maren.page.locator("[data-token]").textContent()).trim();
  assert.match(token, /^[0-9a-z]{8}\.[0-9a-f]{64}$/);
  await shot(maren, "sensors-token");
  await fits(maren);
  const post = async (readings) => {
    const answer = await fetch(`${kitchen.server.origin}/api/readings`, {
      method: "POST",
      headers: { authorization: `Bearer ${token}`, "content-type": "application/json" },
      body: JSON.stringify(readings),
    });
    return { status: answer.status, body: await answer.json() };
  };
  const reading = (ago, value) => ({ place, time: minutesAgo(ago).toISOString(), value, unit: "Cel", probe: "air" });
  const list = [reading(40, 3), reading(30, 9), reading(20, 9), reading(1, 3)];
  assert.deepEqual(await post(list), { status: 200, body: { kept: 4, known: 0 } });
  assert.deepEqual(await post(list), { status: 200, body: { kept: 0, known: 4 } });
  await maren.goesWithin("/deviations");
  await maren.sees("was beyond its limit for");
  await maren.page.locator("a.row", { hasText: "was beyond its limit" }).first().click();
  await maren.sees("Degrees times minutes");
  await maren.sees("Cold room, back");
  await shot(maren, "excursion");
  await fits(maren);
  await maren.goesWithin("/sensors");
  await maren.sees("in a day 3.0");
  await maren.page.locator("svg.chart rect.c-signal").waitFor(); // the last day, and when it was beyond the limit
  assert.ok((await maren.page.locator("svg.chart rect.c-reach").count()) >= 3, "a field for each quarter of an hour");
  for (const one of [reading(70, 3), reading(80, 8), reading(90, 8), reading(100, 3)]) assert.equal((await post([one])).status, 200); // what was kept while it was out of touch, the newest first
  await maren.page.waitForFunction(() => document.querySelectorAll("svg.chart rect.c-signal").length === 2);
  assert.equal(await maren.page.locator("[data-token]").count(), 0, "the token is shown once");
  await shot(maren, "sensors");
  await maren.pokes(maren.page.locator("[data-do=askunpair]"));
  await maren.pokes(maren.page.locator("[data-do=unpair]"));
  await maren.sees("No sensors");
  assert.equal((await post([reading(0, 3)])).status, 403);
  maren.noFaults();
});

test("without the server the pages say so, and go on when it is back", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const teo = await kitchen.phone("teo");
  await teo.isHeldBy("Teo");
  await teo.isInTheCache();
  await teo.holdsAll();
  await teo.wifi.off();
  await teo.goesWithin("/import");
  await teo.sees("needs the kitchen's server");
  await shot(teo, "import-away");
  await teo.wifi.on();
  await teo.pokes(teo.page.locator("[data-do=again]"));
  await teo.page.locator("#import-place").waitFor();
});

test("what the server refuses is said in the language of whoever holds the phone", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const ines = await kitchen.phone("ines");
  await ines.isHeldBy("Inés");
  await ines.goesWithin("/records/found?days=366");
  await ines.page.getByText("Son 366 días; en un archivo caben 93 como mucho. Pídelos por partes.").waitFor();
  const answer = (lang) =>
    fetch(`${kitchen.server.origin}/api/report`, { method: "POST", headers: { "accept-language": lang } }).then((a) => a.json());
  assert.equal((await answer("es-ES,es;q=0.9,en;q=0.5")).text, "Esta dirección no acepta peticiones POST.");
  assert.equal((await answer("de")).text, "This address does not take POST requests.");
});
