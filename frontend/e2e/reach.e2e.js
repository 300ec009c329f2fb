// Everybody can read it and reach it: by eye, by ear, by thumb. By key: see keyboard.e2e.js.
import assert from "node:assert/strict";
import { test } from "node:test";
import { least, sideways, smallTargets, violations } from "./lib/faults.js";
import { Kitchen } from "./lib/kitchen.js";

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
      holds(await violations(phone.page, face === "day" ? "all" : "colours"), `${path}, ${face}`);
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
