// Everybody can read it and reach it: by eye, by ear, by thumb, by key.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const least = 56;

test("every screen, in both faces: no axe violation, no sideways scroll, no small target", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const phone = await kitchen.phone("anna");
  await phone.isHeldBy("Maren");
  await begins(phone);
  const paths = await everyScreen(phone);
  assert.ok(paths.length >= 20, `only ${paths.length} screens: ${paths}`);
  const faults = [];
  const holds = (found, where) => found.length && faults.push(`${where}: ${[found].flat().join("; ")}`);
  for (const path of paths) {
    await phone.goesWithin(path);
    for (const face of ["day", "night"]) {
      await phone.page.evaluate((name) => (document.documentElement.dataset.face = name), face);
      holds(await violations(phone.page), `${path}, ${face}`);
    }
    holds(await smallTargets(phone.page), `${path}: targets under ${least} px`);
    for (const [width, text] of path === "/wall"
      ? []
      : [
          [320, 100],
          [360, 200],
          [320, 200],
        ]) {
      await phone.page.setViewportSize({ width, height: 740 });
      await phone.page.evaluate((percent) => document.documentElement.style.setProperty("font-size", `${percent}%`), text);
      holds(await sideways(phone.page), `${path} at ${width} px and ${text} %`);
    }
    await phone.page.setViewportSize({ width: 360, height: 740 });
    await phone.page.evaluate(() => document.documentElement.style.removeProperty("font-size"));
  }
  assert.deepEqual(faults, []);
  phone.noFaults();
});

test("no sideways scroll in Spanish, whose words are longer", async (t) => {
  const faults = [];
  const kitchen = await Kitchen.demo(t);
  const phone = await kitchen.phone("ines");
  await phone.isHeldBy("Inés");
  await begins(phone);
  for (const path of await everyScreen(phone)) {
    await phone.goesWithin(path);
    await phone.page.setViewportSize({ width: 320, height: 740 });
    const found = await sideways(phone.page);
    if (found) faults.push(`${path}: ${found}`);
  }
  assert.deepEqual(faults, []);
});

test("a batch is carried on with the keyboard alone", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const phone = await kitchen.phone("Maren");
  await phone.goes("/who");
  await phone.tabsTo("button[data-do=crew]");
  await phone.presses("Enter");
  await phone.goes("/start/quick");
  await phone.presses("6");
  await phone.tabsTo("input.field");
  await phone.page.keyboard.type("KB-1");
  await phone.tabsTo("[data-do=start]");
  await phone.presses("Enter");
  await phone.tabsTo("a[href^='/batch/']");
  await phone.presses("Enter");
  await phone.sees("Warmest piece");
  await phone.tabsTo("li.now [data-do=step]");
  await phone.presses("Enter");
  await phone.presses("2");
  await phone.presses("Enter");
  await phone.sees("Water first");
  for (const _ of [1, 2]) {
    const key = await phone.stepNow();
    await phone.tabsTo("li.now [data-do=step]");
    await phone.presses("Enter");
    await phone.page.waitForFunction((old) => document.querySelector("li.now")?.getAttribute("data-key") !== old, key);
  }
  await phone.tabsTo("[data-do=move]");
  await phone.presses("Enter");
  await phone.sees("Date mark, Tub 1");
  phone.noFaults();
});

test("a tub goes through every stage to the last piece sold with the keyboard alone", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const maren = byKeys(await kitchen.phone("Maren"));
  await maren.isHeldBy("Maren");
  const tub = await maren.startsATub("quick", 6, "KB-2");
  await maren.doesTheSteps(2);
  await maren.movesOn();
  await maren.opensBatch(tub);
  await maren.waitsUntilReady();
  await maren.movesOn(); // drain
  await maren.doesTheSteps();
  await maren.waitsUntilReady();
  const [pan] = await maren.portions(); // coat
  await maren.opensBatch(pan);
  await maren.doesTheSteps();
  await maren.movesOn(); // set
  await maren.reads("fryer-1", 168);
  await maren.reads("cabinet-1", 62);
  await maren.opensBatch(pan);
  await maren.waitsUntilReady();
  const [load] = await maren.portions({ place: "fryer-1" });
  await maren.opensBatch(load);
  await maren.cooksIt(82);
  const [tray] = await maren.portions({ pieces: 40 });
  await maren.opensBatch(tray);
  await maren.doesTheSteps();
  await maren.movesOn(); // hold
  await maren.goesWithin("/hold");
  await maren.sells(tray, 40);
  await maren.goesWithin(`/batch/${tray}`);
  await maren.sees("Finished");
  assert.ok(maren.keys > 150, `${maren.keys} keys`);
  maren.noFaults();
});

/**
 * Takes the finger off a phone: what was a tap is now the tab key until it is there, and Enter; what was typed on the pad is
 * typed; what rings is answered the same way.
 */
function byKeys(phone) {
  const { page } = phone;
  const focused = (locator) => locator.evaluateAll((all) => all.includes(document.activeElement));
  const enters = async (locator) => {
    for (let i = 0; i < 150; i++) {
      if (await focused(locator)) {
        await phone.presses("Enter");
        return true;
      }
      await phone.presses("Tab");
    }
    return false;
  };
  phone.keys = 0;
  const { presses } = phone;
  return Object.assign(phone, {
    presses(key) {
      phone.keys++;
      return presses.call(phone, key);
    },
    async pokes(locator) {
      await locator.waitFor();
      for (let i = 0; i < 3; i++) {
        await phone.answersRings();
        await page.waitForFunction(() => !document.querySelector(".settling"));
        if (await enters(locator)) return;
      }
      assert.fail(`${phone.name} cannot reach ${locator} by keyboard at ${phone.path}:\n${await phone.text()}`);
    },
    async types(number) {
      for (const key of String(number)) await phone.presses(key);
    },
    async answersRings() {
      const got = page.locator("[data-part=ring] [data-do=got]").first();
      for (let i = 0; i < 12 && (await got.isVisible()); i++) {
        await page.waitForFunction(() => !document.querySelector(".settling"));
        await enters(got);
        await page.waitForTimeout(150);
      }
    },
    /** From the Line where the batch stands on it. */
    async opensBatch(id) {
      await phone.goesWithin("/");
      await phone.answersRings();
      const link = page.locator(`a[href="/batch/${id}"]`).first();
      if (!(await link.isVisible())) return phone.goesWithin(`/batch/${id}`);
      await phone.pokes(link);
      await page.waitForURL((url) => url.pathname === `/batch/${id}`);
    },
  });
}

/** Begins a log of each sort that a food with a name alone can have, and freezes a pan. */
async function begins(phone) {
  for (const form of ["cool?n=Gravy&v=60", "time?n=Salad&v=4&r=tphc6", "thaw?n=Prawns"]) {
    await phone.goesWithin(`/log/new/${form}`);
    await phone.does("log", phone.page.locator("main"));
    await phone.answers();
    await phone.page.locator("html[data-view=logs]").waitFor();
  }
  await phone.goesWithin("/");
  const pan = phone.page.locator("a[href^='/batch/']", { hasText: /^\s*(Pan|Fuente)/ }).first();
  await phone.goesWithin(await pan.getAttribute("href"));
  await phone.does("freeze", phone.page.locator("main"));
  await phone.page.locator("main [data-do=freeze]").nth(3).waitFor(); // the ways to thaw it
}

/** Walks all links from the line and returns one path for each kind of screen, and each place. */
async function everyScreen(phone) {
  const seen = new Map();
  const queue = [
    "/",
    "/hold",
    "/plan",
    "/lists",
    "/more",
    "/start",
    "/timers",
    "/timer/new",
    "/deviations",
    "/find",
    "/who",
    "/kitchen",
    "/devices",
    "/ring",
    "/settings",
    "/wall",
  ];
  while (queue.length) {
    const path = queue.shift();
    const shape = shapeOf(path);
    if (seen.has(shape)) continue;
    await phone.goesWithin(path);
    seen.set(shape, path);
    const links = await phone.page.evaluate(() => [...document.querySelectorAll("#app a[href^='/']")].map((a) => a.getAttribute("href")));
    queue.push(...links.filter((link) => !link.startsWith("/api/") && !seen.has(shapeOf(link)))); // what is a file is no screen
  }
  return [...seen.values()];
}

/** A path without what differs from one batch to the next. */
const shapeOf = (path) =>
  path
    .split("?")[0]
    .replace(/[0-9a-f]{8}-[0-9a-f-]{27}[^/]*/g, "ID")
    .replace(/^\/crew\/steps\/of\/.+/, "/crew/steps/of/STEP")
    .replace(/^\/crew\/record\/.+/, "/crew/record/NAME")
    .replace(/^\/crew\/[^/]+\/(procedure|list)\/.+/, "/crew/NAME/WORK")
    .replace(/^\/crew\/(?!ready$|steps|age$|record)[^/]+$/, "/crew/NAME")
    .replace(/^\/plan\/(change\/[cdt]|what|order|demand|after)\/.+/, "/plan/$1/NAME")
    .replace(/^\/(list|place|start|oil|probe|chart|cooktime|receive|records\/day|records\/readings)\/.+/, "/$1/NAME");

async function violations(page) {
  await page.evaluate(axe);
  return page.evaluate(async () => {
    const { violations } = await globalThis.axe.run(document, { resultTypes: ["violations"] });
    return violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`);
  });
}

/** What can be tapped and is smaller than a wet glove needs. */
function smallTargets(page) {
  return page.evaluate((least) => {
    const small = [];
    for (const el of document.querySelectorAll("a[href], button, input, textarea, select, summary, [role=button]")) {
      const { width, height } = el.getBoundingClientRect();
      if (el.matches(".skip, [inert] *, :disabled") || (width === 0 && height === 0)) continue;
      if (width < least - 0.5 || height < least - 0.5)
        small.push(`${el.outerHTML.slice(0, 90)} is ${width.toFixed(1)} x ${height.toFixed(1)}`);
    }
    return small;
  }, least);
}

/** What sticks out sideways, or "". */
function sideways(page) {
  return page.evaluate(() => {
    const most = document.documentElement.clientWidth;
    const scrollers = [document.documentElement, document.body, ...document.querySelectorAll("main")];
    const wide = scrollers.find((el) => el.scrollWidth > el.clientWidth + 1);
    if (!wide) return "";
    const out = [...document.querySelectorAll("#app *")].find((el) => el.getBoundingClientRect().right > most + 1);
    return `${wide.tagName} is ${wide.scrollWidth} px wide in ${wide.clientWidth}: ${out?.outerHTML.slice(0, 160)}`;
  });
}
