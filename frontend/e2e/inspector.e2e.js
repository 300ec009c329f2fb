// An inspector at the door: "show me yesterday's cook temperatures". Four taps from the Line lead to a signed PDF, which
// other programs read.
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { readFile } from "node:fs/promises";
import { test } from "node:test";
import { promisify } from "node:util";
import { Kitchen } from "./lib/kitchen.js";

const run = promisify(execFile);

/** Taps what leads to a file, and returns the file's path and name. */
async function fetches(phone, label) {
  const saved = phone.page.waitForEvent("download");
  await phone.pokes(phone.page.getByRole("link", { name: new RegExp(label) }));
  const download = await saved;
  return { path: await download.path(), name: download.suggestedFilename(), url: download.url() };
}

const text = async (path) => (await run("pdftotext", ["-raw", path, "-"])).stdout.replaceAll(/\s+/g, " ");

test("from the Line to yesterday's cook temperatures, signed and on paper, in four taps", async (t) => {
  const kitchen = await Kitchen.past(t, "yesterday");
  const phone = await kitchen.phone("pass phone");
  await phone.isHeldBy("Maren");
  await phone.goes("/");
  await phone.pokes(phone.page.locator("a[href='/more']").first()); // 1
  await phone.pokes(phone.page.locator("a[href^='/records']").first()); // 2
  await phone.pokes(phone.page.getByRole("link", { name: /yesterday's cook/i })); // 3
  const pdf = await fetches(phone, "PDF"); // 4
  assert.match(pdf.name, /^records-\d{4}-\d{2}-\d{2}\.pdf$/);
  const key = await phone.page.evaluate(async () => {
    const db = await new Promise((resolve, reject) => {
      const asked = indexedDB.open("brinebell");
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
    const pairing = await new Promise((resolve) => {
      const asked = db.transaction("device").objectStore("device").get("pairing");
      asked.onsuccess = () => resolve(asked.result);
    });
    db.close();
    return pairing.key;
  });
  assert.ok(key.length > 20);
  assert.ok(!pdf.url.includes(key), "the device's key stands in no address");

  assert.match((await run("qpdf", ["--check", pdf.path])).stdout, /No syntax or stream encoding errors found/);
  const said = await text(pdf.path);
  for (const want of [
    "Halfmoon Ferry Canteen",
    "Cook temperatures (4)",
    "at least 75.0 °C",
    "Inés Calloway",
    "Printed by Maren Oduya, lead on pass phone",
    "Maren Oduya, lead, ",
    "reviewed the records of this day and closed it",
    "Boat of 12:05 served from the second fryer.",
    "is as it was kept",
    "Page 1 of ",
  ]) {
    assert.ok(said.includes(want), `${want} is missing in: ${said}`);
  }
  const { out } = await kitchen.server.run("verify");
  const hash = /Hash of the last: ([0-9a-f]{64})/.exec(out)?.[1] ?? "none";
  assert.ok(said.includes(hash), "the print names the chain's last hash, as verify prints it");
  if (process.env.BRINEBELL_LOOK) await run("pdftoppm", ["-r", "70", "-png", pdf.path, process.env.BRINEBELL_LOOK]);

  // A link opens once, and the other files come the same way.
  assert.equal((await fetch(pdf.url)).status, 403);
  const csv = await fetches(phone, "CSV");
  const rows = (await readFile(csv.path, "utf8")).split("\r\n");
  assert.match(rows[0], /^day,kind,at,entry,/);
  assert.equal(rows.filter((row) => row.split(",")[1] === "cook").length, 4);
  const json = JSON.parse(await readFile((await fetches(phone, "JSON")).path, "utf8"));
  assert.equal(json.format, 1);
  assert.equal(json.days.length, 1);
  assert.deepEqual(phone.faults, []);
});

test("without the kitchen's server the page says that the file comes from there", async (t) => {
  const kitchen = await Kitchen.past(t, "yesterday");
  const phone = await kitchen.phone("pass phone");
  await phone.isHeldBy("Maren");
  await phone.goes("/records");
  await phone.pokes(phone.page.getByRole("link", { name: /yesterday's cook/i }));
  await phone.holdsAll();
  await phone.wifi.off();
  await phone.pokes(phone.page.getByRole("link", { name: /PDF/ }));
  await phone.page.getByText("The kitchen's server makes this file, and did not give it.").waitFor();
  await phone.wifi.on();
  await phone.isSavedIn("kitchen");
  await fetches(phone, "PDF");
  assert.equal(await phone.page.getByText("did not give it").count(), 0);
});

test("what stood where at an instant: from the phone, from the server, on paper, and a sentence out of touch", async (t) => {
  const kitchen = await Kitchen.past(t, "yesterday");
  const phone = await kitchen.phone("pass phone");
  await phone.isHeldBy("Maren");
  await phone.goes("/records");
  await phone.pokes(phone.page.getByRole("link", { name: /Kitchen at an instant/ }));
  await phone.page.getByText("Worked out on this phone from its own entries.").waitFor();

  // Yesterday noon is older than what a phone that has just joined keeps: the server works it out, and it looks the same.
  const today = await phone.page.getByLabel("Day").inputValue(); // by the kitchen's clocks: this machine's may show another
  const day = new Date(Date.parse(today) - 86_400_000).toISOString().slice(0, 10);
  await phone.page.getByLabel("Day").fill(day);
  await phone.page.getByLabel("Time").fill("12:05");
  const stood = phone.page.locator("[data-far=here]");
  await stood.getByRole("heading", { name: /12:05: batches/ }).waitFor();
  await stood.getByText("Cold room", { exact: true }).waitFor();
  for (const heading of ["Deviations", "Equipment", "Rings", "Devices"]) await stood.getByRole("heading", { name: heading }).waitFor();
  const pdf = await fetches(phone, "PDF");
  assert.match(pdf.name, /^kitchen-\d{8}T\d{6}Z\.pdf$/);
  assert.match((await run("qpdf", ["--check", pdf.path])).stdout, /No syntax or stream encoding errors found/);
  const said = await text(pdf.path);
  for (const want of ["The kitchen at an instant", `${day} 12:05:00`, "Maren", "Cold room"])
    assert.ok(said.includes(want), `${want} is missing in: ${said}`);
  assert.match(await readFile((await fetches(phone, "CSV")).path, "utf8"), /^at,section,what,how\r\n/);
  assert.ok(JSON.parse(await readFile((await fetches(phone, "JSON")).path, "utf8")).batches);

  // What cannot be is a sentence, not an empty page.
  await phone.page.getByLabel("Day").fill("2999-01-01");
  await phone.page.getByText(/is still to come/).waitFor();

  // Out of touch it says what this phone has, and what it has not.
  await phone.page.getByLabel("Day").fill(day);
  await stood.getByRole("heading", { name: /12:05: batches/ }).waitFor();
  await phone.holdsAll();
  await phone.wifi.off();
  await phone.page.getByText(/own entries reach back to .* out of touch with it/).waitFor();
  await phone.wifi.on();
  await stood.getByRole("heading", { name: /12:05: batches/ }).waitFor();
  assert.deepEqual(phone.faults, []);
});

test("an older day is a page of the server's, and says so when it cannot be had", async (t) => {
  const kitchen = await Kitchen.past(t, "yesterday");
  const phone = await kitchen.phone("pass phone");
  await phone.isHeldBy("Maren");
  await phone.goes("/records");
  await phone.pokes(phone.page.getByRole("link", { name: /yesterday's cook/i }));
  const here = phone.page.locator("[data-far=here]");
  await here.getByRole("heading", { name: /^Cook temperatures/ }).waitFor();
  await here
    .getByText(/limit met \(at least 75\.0/)
    .first()
    .waitFor();
  assert.equal(await here.locator("ol.history > li").count(), 4, "all four, whatever this phone held of them");
  await here.getByText(/walked its chain/).waitFor();
  await phone.holdsAll();
  await phone.wifi.off();
  await phone.page.getByText(/Out of touch: this is only what this phone still holds/).waitFor();
  await phone.wifi.on();
  await here.getByRole("heading", { name: /^Cook temperatures/ }).waitFor();

  await phone.goes("/records/find?days=7");
  await phone.pokes(phone.page.getByRole("link", { name: /Find in the whole record/ }));
  await here.getByRole("heading", { name: /^Cook temperatures/ }).waitFor();
  assert.deepEqual(phone.faults, []);
});
