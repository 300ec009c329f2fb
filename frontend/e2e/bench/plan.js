// How soon a phone has a plan of the demo's day, and how soon it has another when a fryer fails; and whether the line answers taps
// meanwhile. Prints figures as JSON.
import { Kitchen } from "../lib/kitchen.js";
import { middle, most, scale, slowly } from "./slowly.js";

const times = 12;
const closing = [];
const t = { after: (close) => closing.unshift(close) };
try {
  console.log(JSON.stringify(await measure()));
} finally {
  for (const close of closing) await close();
}

function late(list) {
  return [...list].sort((a, b) => a - b)[Math.ceil(list.length * 0.95) - 1];
}

async function measure() {
  const kitchen = await Kitchen.demo(t);
  const phone = await kitchen.phoneThatSleeps("maren");
  await phone.isHeldBy("Maren");
  const { page } = phone;
  await phone.goesWithin("/plan");
  await came(page, 0);
  const took = [];
  const taps = [];
  for (let i = 0; i < times; i++) {
    await phone.goesWithin("/place/fryer-1");
    const before = await page.evaluate(async () => (await globalThis.brinebell.planner()).came);
    await phone.does("equipment");
    await phone.answers("no heat");
    await slowly(phone.own, async () => {
      await phone.goesWithin("/plan");
      await came(page, before);
      taps.push(await page.evaluate(tapped));
    });
    took.push(await page.evaluate(async () => (await globalThis.brinebell.planner()).took));
    console.error(`  plan ${i + 1}: ${took.at(-1).toFixed(0)} ms, a tap beside it ${taps.at(-1).toFixed(0)} ms`);
  }
  return [
    scale("plan: first answer after a change, slowed 4x, middle", middle(took), "ms"),
    most("plan: first answer after a change, slowed 4x, p95", late(took), "ms", 100),
    most("plan: the line is drawn while the planner thinks, slowed 4x, p95", late(taps), "ms", 200),
  ];
}

/** Waits until the planner has told a plan more. */
function came(page, before) {
  return page.waitForFunction(async (n) => (await globalThis.brinebell.planner()).came > n, before, { timeout: 120_000, polling: 20 });
}

/** How long the line takes to be drawn after a tap on its place. */
function tapped() {
  return new Promise((done) => {
    const began = performance.now();
    const look = () => {
      if (document.documentElement.dataset.view === "line") done(performance.now() - began);
      else setTimeout(look, 2);
    };
    document.querySelector("nav.places a[href='/']").click();
    look();
  });
}
