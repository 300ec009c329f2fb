// Practice: a pretend kitchen beside the real one, that never touches it.
import assert from "node:assert/strict";
import { test } from "node:test";
import { faults } from "./lib/faults.js";
import { Kitchen } from "./lib/kitchen.js";
import { begins, isAt, learns, leaves, playsAndNotes, playsOn, runsFast } from "./lib/night.js";

/** What the phone keeps of entries and photos, as one text. */
const kept = (phone) =>
  phone.page.evaluate(async () => {
    const db = await new Promise((done, fail) => {
      const asked = indexedDB.open("brinebell");
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => fail(asked.error);
    });
    const all = [];
    for (const store of ["numbered", "waiting", "photos"]) {
      const rows = await new Promise((done) => {
        const asked = db.transaction(store).objectStore(store).getAll();
        asked.onsuccess = () => done(asked.result);
      });
      all.push([store, rows.map((row) => JSON.stringify(row, (_, v) => (ArrayBuffer.isView(v) ? Array.from(v) : v)))]);
    }
    db.close();
    const bytes = new TextEncoder().encode(JSON.stringify(all));
    const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    return `${bytes.length} ${Array.from(sum, (b) => b.toString(16).padStart(2, "0")).join("")}`;
  });

const time = (phone) => phone.page.locator("header.top time").textContent();

test("a night of practice is chosen, played and looked back at, and nothing of it is kept", async (t) => {
  const kitchen = await Kitchen.bare(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await teo.goesWithin("/more");
  await teo.taps(/^Practice/);
  await teo.sees("1. One tub");
  await teo.sees("Free play");
  await teo.sees("Closing the page loses the night");
  await teo.isSavedIn("kitchen");
  const before = [await kept(teo), await teo.state()];
  await begins(teo, 1);
  await teo.sees("PRACTICE");
  await teo.sees("Nothing of this is kept. Time stands still.");
  await teo.looks("practice-line");
  await runsFast(teo);
  const seen = new Set();
  for (let i = 0; i < 40; i++) {
    const kind = await isAt(teo, "trouble", "told", "debrief");
    if (!seen.has(kind)) {
      seen.add(kind);
      await teo.looks(`practice-${kind}`);
      assert.deepEqual(await faults(teo.page), [], kind);
    }
    if (kind === "debrief") break;
    if (kind === "trouble") {
      await teo.sees("What do you do?");
      await leaves(teo, kind, teo.page.locator("main [data-do=practice-reply]").nth(i % 2));
    } else {
      await teo.sees(/Right|Not so|This could have hurt somebody/);
      await leaves(teo, kind, teo.page.locator(".pacing [data-do=practice-go]"));
    }
  }
  await teo.sees("How the night went");
  await teo.sees("What it cost");
  await teo.sees("Product");
  assert.deepEqual([await kept(teo), await teo.state()], before, "the real kitchen is as it was");
  await teo.taps("Another night");
  await teo.page.waitForURL((url) => url.pathname === "/practice");
  await teo.page.locator("html[data-mode=real]").waitFor();
  assert.equal(await teo.page.locator("[data-part=practice]").count(), 0, "the word is on no real screen");
  teo.noFaults();
});

test("the same night comes again, and who has learned from it passes; the result is kept where somebody says so", async (t) => {
  const kitchen = await Kitchen.bare(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await begins(teo, 1);
  await runsFast(teo);
  const first = await playsAndNotes(teo);
  assert.ok(first.length >= 2, `only ${first.length} troubles`);
  await teo.taps("The same night again");
  await isAt(teo, "line");
  await teo.sees("Time stands still");
  await runsFast(teo);
  const right = new Map(learns(first));
  const second = await playsAndNotes(teo, right);
  assert.equal(second[0].title, first[0].title, "it is the same night");
  for (const { title, grade } of second) if (right.has(title)) assert.equal(grade, "Right", title);
  for (const { grade, better } of first) assert.equal(grade === "Right", better === "", "who was wrong is told what is better");
  const before = await teo.state();
  await teo.does("rung");
  await teo.page.waitForURL((url) => url.pathname === "/practice");
  await teo.page.waitForFunction(async (was) => (await globalThis.brinebell.stateHash()) !== was, before);
  await teo.isSavedIn("kitchen");
  teo.noFaults();
});

test("its time stands, runs, is faster and slower; trouble waits while the kitchen is looked at", async (t) => {
  const kitchen = await Kitchen.bare(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await begins(teo);
  const began = await time(teo);
  await teo.page.waitForTimeout(1500);
  assert.equal(await time(teo), began, "it stands until it is let go");
  await teo.pokes(teo.page.locator(".pacing [data-do=practice-go]"));
  await teo.sees("1 s here is 6 min");
  await teo.taps("Slower");
  await teo.sees("1 s here is 1 min");
  await teo.taps("Slower");
  await teo.sees("1 s here is 10 s");
  await teo.taps("Pause");
  await teo.sees("Time stands still");
  for (let i = 0; i < 3; i++) await teo.taps("Faster");
  const paused = await time(teo);
  await teo.goesWithin("/practice/night/hold");
  await teo.sees("PRACTICE");
  assert.equal(await time(teo), paused);
  await teo.goesWithin("/practice/night/more");
  await teo.goesWithin("/practice/night/");
  await teo.pokes(teo.page.locator(".pacing [data-do=practice-go]"));
  await isAt(teo, "trouble");
  const title = await teo.page.locator("h1").first().textContent();
  await teo.taps("Look around");
  await isAt(teo, "line");
  await teo.taps(title.trim());
  await isAt(teo, "trouble");
  await teo.pokes(teo.page.locator(".pacing [data-do=page-practice-end]"));
  await teo.seesOnTheSheet("Nothing of it was kept");
  await teo.pokes(teo.page.locator("[data-part=sheet] [data-do=page-practice-end]"));
  await teo.page.waitForURL((url) => url.pathname === "/practice");
  teo.noFaults();
});

test("Back leads out of practice and in again; its addresses are of this page alone", async (t) => {
  const kitchen = await Kitchen.bare(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await begins(teo);
  await teo.page.locator("nav.places a", { hasText: "Hold" }).tap();
  await teo.page.waitForURL((url) => url.pathname === "/practice/night/hold");
  await teo.page.goBack();
  await teo.page.waitForURL((url) => url.pathname === "/practice/night/");
  await teo.page.goBack();
  await teo.page.waitForURL((url) => url.pathname === "/practice");
  await teo.page.locator("html[data-mode=real]").waitFor();
  await teo.taps("Back to the practice night");
  await teo.page.locator("html[data-mode=practice]").waitFor();
  await teo.page.reload();
  await teo.drawn();
  await teo.page.waitForURL((url) => url.pathname === "/practice");
  await teo.sees("1. One tub");
  await teo.doesNotSee("Back to the practice night");
  await begins(teo);
  await teo.goesWithin("/wall");
  await teo.goesWithin("/practice");
  await teo.doesNotSee("Back to the practice night");
  teo.noFaults();
});

test("a real bell stops practice and takes the page; afterwards practice goes on where it stood", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await teo.startsATub("quick", 6, "FR-2611");
  await teo.doesTheSteps(2);
  await teo.movesOn(); // its wait is of seconds: then it rings
  await begins(teo);
  await teo.taps("Slower");
  await teo.pokes(teo.page.locator(".pacing [data-do=practice-go]"));
  const ring = teo.page.locator("[data-part=ring]");
  await ring.waitFor({ timeout: 60_000 });
  assert.equal(await teo.page.evaluate(() => document.documentElement.dataset.mode), "real");
  assert.equal(await teo.page.locator("[data-part=practice]").count(), 0, "the word is not on what is real");
  await ring.locator("[data-do=got]").first().tap();
  await teo.page.locator("html[data-mode=practice]").waitFor();
  if ((await isAt(teo, "line", "trouble")) === "line") await teo.sees("A real bell rang");
  const stood = await time(teo);
  await teo.page.waitForTimeout(1000);
  assert.equal(await time(teo), stood);
  await teo.pokes(teo.page.locator(".pacing [data-do=practice-go], .pacing [data-do=practice-wait]").first());
  await teo.page.waitForFunction((was) => document.querySelector("header.top time").textContent !== was, stood);
  teo.noFaults();
});

test("practice begins in a room without signal, after the page was opened there", async (t) => {
  const kitchen = await Kitchen.bare(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await teo.holdsAll();
  await teo.isSavedIn("kitchen");
  await kitchen.server.cutPower();
  await teo.page.goto(`${kitchen.server.origin}/practice`);
  await teo.drawn();
  await begins(teo);
  await runsFast(teo);
  await playsOn(teo);
  await teo.sees("How the night went");
  teo.noFaults();
});

test("practice speaks Spanish to whoever does", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const ines = await kitchen.phone("ines");
  await ines.isHeldBy("Inés");
  await begins(ines);
  await ines.sees("PRÁCTICA");
  await ines.sees("Nada de esto se guarda");
  await ines.looks("practice-es");
  ines.noFaults();
});
