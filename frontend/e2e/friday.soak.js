// A Friday evening to Saturday's close: the plan is taken on, started from and dropped from, made anew when a fryer fails and a bus comes,
// and looked back on. The demo's crew does what nobody does from a phone. `make friday` runs it: half an hour at 60 times life's pace, FRIDAY=0 in two minutes.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

const steady = Number(process.env.FRIDAY ?? 0); // how fast all of it runs; 0: as fast as may be, and slower where somebody works
const fast = steady || 1200;
const night = steady || 3600;
const atWork = steady || 10;
const minute = 60_000;
const take = "[data-do=plan-accept]";

/** The kitchen's day as instants, from what its clock shows. Its zone is whole hours away from UTC. */
async function daysOf(phone) {
  const now = await phone.kitchenNow();
  const shown = /\b(\d\d):(\d\d)\b/.exec(await phone.text());
  const minutes = Number(shown[1]) * 60 + Number(shown[2]);
  const midnight = Math.round((now - minutes * minute) / (60 * minute)) * 60 * minute;
  return (day, hour, past = 0) => midnight + ((day * 24 + hour) * 60 + past) * minute;
}

/** Waits until the kitchen's clock shows a time. */
async function comes(kitchen, phone, at, pace) {
  await kitchen.runs(pace);
  while ((await phone.kitchenNow()) < at) await phone.page.waitForTimeout(50);
  await kitchen.runs(atWork);
  await phone.page.locator("[data-link=out]").waitFor({ state: "hidden", timeout: 60_000 }); // much went by: a slow phone may have lost its line
}

/** Looks at the plan until it has been thought about and can be taken on. */
async function plans(phone, words) {
  await phone.goesWithin("/plan");
  await phone.page
    .locator(take)
    .waitFor({ timeout: 60_000 })
    .catch(async () => assert.fail(`${phone.name}: no plan: ${await phone.inside()}\n${await phone.text()}`));
  for (const one of words) await phone.sees(one, 30_000);
}

/** Takes on what stands there, and has the line ring for it. Another plan may have come to stand there meanwhile. */
async function takesOn(phone) {
  for (let i = 0; i < 5; i++) {
    if (await shows(phone.page.locator(take), 3_000)) await phone.pokes(phone.page.locator(take));
    const yes = phone.page.locator("[data-part=sheet]").getByRole("button", { name: /Take it on and ring/ });
    if (!(await shows(yes, 5_000))) continue;
    await phone.pokes(yes);
    if (await shows(phone.page.locator("body", { hasText: /Taken on at[\s\S]*The line rings for it/ }), 5_000)) return;
  }
  assert.fail(`${phone.name} could not take the plan on:\n${await phone.text()}`);
}

/** Tells whether something comes to be seen. */
const shows = (locator, timeout) =>
  locator
    .first()
    .waitFor({ timeout })
    .then(
      () => true,
      () => false,
    );

/** Drops the next basket that the plan wants from the line, within its time. @returns {Promise<boolean>} false: the crew had it first */
async function drops(phone) {
  const loads = phone.page.locator("li[data-key^='plan-'] a[href^='/load/']").first();
  await phone.goesWithin("/");
  if (!(await shows(loads, 3_000))) return false;
  await phone.pokes(loads);
  await phone.page.waitForURL((url) => url.pathname.startsWith("/load/"), { timeout: 3_000 }).catch(() => {});
  const drop = phone.page.locator("main [data-do=portion]:not(.quiet)").first(); // the plan's weight stands there already
  if (!(await shows(drop, 3_000))) return false;
  await phone.pokes(drop);
  return phone.page
    .waitForURL((url) => !url.pathname.startsWith("/load/"), { timeout: 4_000 })
    .then(
      () => true,
      () => false,
    );
}

test("from a Friday evening to Saturday's close by the plan, with a fryer that fails and a bus that comes", async (t) => {
  const began = Date.now();
  const said = (what) => t.diagnostic(`${Math.round((Date.now() - began) / 1000)} s: ${what}`);
  const kitchen = await Kitchen.evening(t);
  const [maren, teo] = await kitchen.phones("maren", "teo");
  await maren.isHeldBy("Maren");
  await teo.isHeldBy("Teo");
  const at = await daysOf(maren);

  // the evening: what tomorrow needs of tonight
  await plans(maren, ["Nobody has taken this plan on yet", "Tonight:"]);
  await maren.looks("friday-1-plan");
  await takesOn(maren);
  const start = maren.page.locator("main a[href^='/start/']").first();
  const [, kilograms, tubs] = /[?&]g=([\d.]+)&tubs=(\d+)/.exec(await start.getAttribute("href"));
  await comes(kitchen, maren, at(0, 20, 32), fast);
  await maren.goesWithin("/plan");
  await maren.pokes(start);
  await maren.page.waitForURL((url) => url.pathname.startsWith("/start/"));
  await maren.looks("friday-2-start");
  await maren.fills("lots", "FR-2615");
  await maren.does("start");
  await maren.page.waitForURL((url) => !url.pathname.startsWith("/start/"));
  await teo.goesWithin("/");
  await teo.page
    .locator("a[href^='/batch/']", { hasText: /^\s*Tub/ })
    .nth(Number(tubs) - 1)
    .waitFor();
  said(`${tubs} tubs of ${kilograms} kg were started from the plan`);

  // the night
  await comes(kitchen, maren, at(0, 22), fast);
  await comes(kitchen, maren, at(1, 4, 45), night);
  await teo.goesWithin("/");
  await teo.sees(/drain/);
  await teo.looks("friday-3-morning");
  said("the night is over");

  // the line rings for what the plan wants, and a basket is dropped from it
  await comes(kitchen, teo, at(1, 5, 50), fast);
  let rang = false;
  let dropped = false;
  for (let i = 0; i < (steady ? 60 : 12) && !(rang && dropped); i++) {
    await teo.goesWithin("/");
    const due = await wantedAt(teo);
    if (!due || due > (await teo.kitchenNow()) + 4 * minute)
      await comes(kitchen, teo, due ? due - 20 * minute : (await teo.kitchenNow()) + 4 * minute, fast);
    if (due > (await teo.kitchenNow()) + 4 * minute) await comes(kitchen, teo, due - 3 * minute, steady || 240); // not past it
    if (!due) continue;
    await kitchen.runs(steady || 30); // the crew leaves a basket four minutes to whoever is at a phone
    const ring = teo.page.locator("[data-part=ring]", { hasText: /drop\s\d/i });
    if (await shows(ring, 12_000)) {
      rang = true;
      await kitchen.runs(steady || 1);
      if (!steady) await teo.looks("friday-4-rings");
    }
    await teo.answersRings();
    dropped ||= await drops(teo);
  }
  assert.ok(rang, `the line does not ring for the plan:\n${await teo.text()}`);
  assert.ok(dropped, `no basket could be dropped from the plan:\n${await teo.text()}`);
  await teo.looks("friday-4-dropped");
  said("a basket was dropped from the line");

  // a fryer fails in the morning
  await comes(kitchen, maren, at(1, 9, 35), fast);
  await teo.goesWithin("/place/fryer-2");
  await teo.does("equipment");
  await teo.answers("no heat");
  await plans(maren, [/changes? to the plan that was taken on/, /Fryer 2 is out/i]);
  await maren.looks("friday-5-fryer-out");
  said(`the fryer: ${await changesOf(maren)}`);
  await takesOn(maren);
  await maren.sees("Taken on at");

  // a bus comes in the afternoon
  await comes(kitchen, maren, at(1, 13, 40), fast);
  if (!steady) await kitchen.runs(1);
  await plans(maren, []);
  await takesOn(maren); // with all that has happened, so that what comes is the bus's
  const saturday = new URL(await maren.page.locator("nav.tabs a").first().getAttribute("href"), maren.page.url()).searchParams.get("day");
  await maren.goesWithin(`/plan/events?d=${saturday}`);
  await maren.fills("f", "16:00");
  await maren.fills("t", "17:15");
  await maren.types("35");
  await maren.pokes(maren.page.getByRole("button", { name: /35 guests/ }));
  await maren.answers("A bus");
  await maren.sees(/35 guests on top, 16:00–17:15: A bus/);
  await plans(maren, [/changes? to the plan that was taken on/]);
  await maren.looks("friday-6-bus");
  await maren.goesWithin("/plan/news");
  const bus = await shows(maren.page.locator("body", { hasText: /35\sguests more/ }), 30_000);
  assert.ok(bus || steady, `nothing says what the bus changes:\n${await maren.text()}`); // at one pace other things happen meanwhile
  await maren.looks("friday-6-news");
  said(`the bus: ${await changesOf(maren)}`);
  await plans(maren, []);
  await takesOn(maren);

  // to the close, and looked back on
  await comes(kitchen, maren, at(1, 18, 5), fast);
  await teo.goesWithin("/hold");
  await teo.looks("friday-7-hold");
  await comes(kitchen, maren, at(1, 21, 20), fast);
  await kitchen.runs(1);
  await maren.goesWithin("/plan/after");
  await maren.pokes(maren.page.locator("a[href^='/plan/after/']").first());
  await maren.sees(/The day (has )?cost/);
  await maren.sees("What would have saved most");
  await maren.sees(/\d+ sold/);
  await maren.looks("friday-8-after");
  said(`looked back on: ${(await maren.text()).split("\n").find((line) => /The day (has )?cost/.test(line))}`);
  const ines = await kitchen.phone("ines");
  await ines.isHeldBy("Inés");
  await ines.goesWithin(maren.path);
  await ines.sees(/El día/);
  await ines.looks("friday-8-after-es");
  for (const phone of [maren, teo, ines]) phone.noFaults();
});

/** When the next basket of the plan is due, as the line's address book has it, or 0 where none is due within the hour. */
async function wantedAt(phone) {
  const strip = phone.page.locator("li[data-key^='plan-']", { hasText: /drop\s\d/i }).first();
  if (!(await shows(strip, 2_000))) return 0;
  const text = (await strip.innerText()).replaceAll("\u00a0", " ");
  const now = await phone.kitchenNow();
  const left = /due in (?:(\d+) h )?(\d+)(?::(\d\d)| min)/.exec(text);
  return left ? now + (Number(left[1] ?? 0) * 60 + Number(left[2])) * minute : now;
}

/** The sentences by which the plan differs from the one that was taken on. */
const changesOf = async (phone) =>
  (await phone.text())
    .split("\n")
    .filter((line) => /instead of|Do not|is out|guests|^Drop |^Coat |^Start /.test(line))
    .slice(0, 4)
    .join(" | ");
