// The plan: thought about on the phone, taken on, made anew when something happens, changed by hand, and there without Wi-Fi.
import assert from "node:assert/strict";
import { test } from "node:test";
import { faults } from "./lib/faults.js";
import { Kitchen } from "./lib/kitchen.js";

const take = "[data-do=plan-accept]";

/** Waits until the planner has come to something and gives it no more thought. */
const rests = (phone) =>
  phone.page
    .waitForFunction(
      async () => {
        const { came, thinks } = await globalThis.brinebell.planner();
        return came > 0 && !thinks;
      },
      null,
      { timeout: 60_000 },
    )
    .catch(async () => assert.fail(`${phone.name}: no plan: ${await phone.inside()}\n${await phone.text()}`));

/** Looks at the plan until there is one that can be taken on. */
async function plans(phone, path = "/plan") {
  await phone.goesWithin(path);
  await phone.page
    .locator(take)
    .waitFor({ timeout: 60_000 })
    .catch(async () => assert.fail(`${phone.name}: no plan at ${path}: ${await phone.inside()}\n${await phone.text()}`));
}

/** Takes on what stands there. */
async function takesOn(phone, how) {
  await phone.pokes(phone.page.locator(take));
  await phone.pokes(phone.page.locator("[data-part=sheet]").getByRole("button", { name: how }));
  await phone.sees("Taken on at");
}

/** Nothing on the screen is out of reach. */
async function holds(phone, name) {
  await phone.looks(name);
  assert.deepEqual(await faults(phone.page), [], name);
}

test("a plan is made on the phone, taken on, and told anew in sentences when a fryer fails and a tub is thrown away", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const [maren, teo] = await kitchen.phones("maren", "teo");
  await maren.isHeldBy("Maren");
  await teo.isHeldBy("Teo");
  await plans(maren);
  await maren.sees("Nobody has taken this plan on yet");
  await rests(maren);
  await maren.sees(/Within \d+ % of the best there can be\.|Nothing can cost less/);
  await holds(maren, "plan");
  await takesOn(maren, "Take it on and ring");
  await maren.sees("The line rings for it");
  await teo.goesWithin("/plan");
  await teo.sees("The line rings for it", 20_000);
  await teo.goesWithin("/");
  await teo.page.locator("li[data-key^='plan-']").first().waitFor();
  await holds(teo, "plan-line");

  await teo.goesWithin("/place/fryer-1");
  await teo.does("equipment");
  await teo.answers("no heat");
  await plans(maren);
  await maren.sees(/changes? to the plan that was taken on/, 30_000);
  await maren.sees(/Fryer 1 is out/i, 30_000);
  const fix = maren.page
    .getByRole("link", { name: /One more fryer/ })
    .or(maren.page.getByRole("button", { name: /One more fryer/ }))
    .first();
  await fix.waitFor({ timeout: 60_000 });
  await holds(maren, "plan-fryer-out");
  await maren.pokes(fix);
  await maren.page.waitForURL((url) => url.pathname === "/plan/what/fryer");
  await maren.sees("Against the plan", 60_000);
  await holds(maren, "plan-fix");
  await plans(maren);
  await takesOn(maren, "Take it on, do not ring");

  let changed = false; // a tub that the plan does without changes nothing
  for (let i = 0; i < 5 && !changed; i++) {
    await maren.goesWithin("/");
    const tub = maren.page.locator("a[href^='/batch/']", { hasText: /^\s*(Tub|Pan)/ }).first();
    const id = (await tub.getAttribute("href")).split("/")[2];
    await maren.discards(id);
    await maren.goesWithin("/plan");
    changed = await maren.page
      .locator(take)
      .waitFor({ timeout: 15_000 })
      .then(
        () => true,
        () => false,
      );
  }
  assert.ok(changed, `nothing that is thrown away changes the plan:\n${await maren.text()}`);
  await maren.sees(/changes? to the plan that was taken on/, 30_000);
  await holds(maren, "plan-tub-gone");
  maren.noFaults();
  teo.noFaults();
});

test("a plan is changed by hand, thought otherwise and started from, and made without Wi-Fi", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const maren = await kitchen.phone("maren");
  await maren.isHeldBy("Maren");
  await maren.holdsAll();
  await maren.isSavedIn("kitchen");
  await maren.wifi.off();
  await plans(maren);
  await rests(maren);

  // what comes later is folded, and stays open where somebody opened it
  const later = maren.page.locator("details.fold", { has: maren.page.locator("a.droprow") }).first();
  assert.equal(await later.locator("a.droprow").first().isVisible(), false);
  await maren.pokes(later.locator("summary"));
  await later.locator("a.droprow").first().waitFor();
  await maren.goesWithin("/plan/order");
  await plans(maren);
  await later.locator("a.droprow").first().waitFor();
  await holds(maren, "plan-open");
  await maren.pokes(maren.page.locator("a.droprow").first());
  await maren.sees("it is costed at once");
  await maren.pokes(maren.page.getByRole("link", { name: "Leave it out" }));
  await maren.sees("Against the plan");
  await holds(maren, "plan-change");
  await maren.pokes(maren.page.getByRole("link", { name: "Take it in again" }));
  const more = await maren.page.getByRole("link", { name: /more$/ }).getAttribute("href");
  await maren.goesWithin(more.replace(/(c=.*?%2A)\d+/, "$199"));
  await maren.page.locator("section.off", { hasText: "at most" }).waitFor();
  assert.equal(await maren.page.locator(take).count(), 0, "what breaks a rule is not offered");
  await holds(maren, "plan-broken-rule");

  await maren.goesWithin("/plan/what");
  await maren.pokes(maren.page.locator("a.row", { hasText: "Two more fryers" }));
  await maren.sees("Against the plan");
  await maren.goesWithin("/plan/what");
  await holds(maren, "plan-what");
  await maren.goesWithin("/plan/order");
  await maren.sees("Birds, cut eight ways");
  await maren.pokes(maren.page.locator("a.row", { hasText: "House mix" }));
  await maren.types("9");
  await holds(maren, "plan-count");
  await maren.taps("There are 9");
  await maren.sees(/9\.0\sL there \(counted/);
  await holds(maren, "plan-order");

  await maren.goesWithin("/plan");
  await maren.pokes(maren.page.locator("nav.tabs a").nth(1));
  await maren.page.locator(take).waitFor({ timeout: 60_000 });
  await rests(maren);
  await holds(maren, "plan-tomorrow");
  await maren.pokes(maren.page.locator("a[href^='/start/']").first());
  await maren.page.waitForURL((url) => url.pathname.startsWith("/start/"));
  assert.match(maren.page.url(), /[?&]g=[\d.]+&tubs=\d+/);
  await maren.page.locator("[data-do=start]").waitFor();
  maren.noFaults();
});

/** The starts of tubs on the plan: what of, and by when. */
const startsOf = () =>
  [...document.querySelectorAll("main ol.line .head")].map((head) => ({
    item: head.querySelector("h3").textContent.replace(/^\d+\s\w+\s/, ""),
    by: head.querySelector(".left").textContent.match(/\d\d:\d\d/)[0],
  }));

test("a delivery that comes late is told on the phone, the plan starts nothing of it before, and it can be taken back", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const maren = await kitchen.phone("maren");
  const { page } = maren;
  await page.addInitScript(`globalThis.startsOf = ${startsOf}`);
  await maren.reloads();
  await maren.isHeldBy("Maren");
  await plans(maren);
  await rests(maren);
  const [{ item, by }] = await page.evaluate(() => globalThis.startsOf());
  assert.ok(by < "20:30", `${item} by ${by}`);
  /** Waits for a plan that starts some of it before the delivery, or none. @param {boolean} some */
  const before = (some) =>
    page
      .waitForFunction(
        ([what, want]) => {
          const starts = document.querySelector("[data-do=plan-accept]") && globalThis.startsOf();
          return starts && starts.some((it) => it.item === what && it.by < "20:30") === want;
        },
        [item, some],
        { timeout: 60_000 },
      )
      .catch(async () => assert.fail(`${some ? "no" : "a"} start of ${item}:\n${await maren.text()}`));
  const today = new URL(await page.locator("nav.tabs a").first().getAttribute("href"), "http://x").searchParams.get("day");
  await maren.goesWithin(`/plan/events?d=${today}`);
  await maren.sees("A delivery comes late");
  await page.locator("input[type=time]").last().fill("20:30");
  const told = page.getByRole("button", { name: new RegExp(`${item}: delivery at 20:30`, "i") });
  await told.waitFor();
  await holds(maren, "plan-late");
  await maren.pokes(told);
  const back = page.getByRole("button", { name: /Take back/ }).first();
  await back.waitFor();
  await plans(maren);
  await before(false);
  await maren.goesWithin(`/plan/events?d=${today}`);
  await maren.pokes(back);
  await back.waitFor({ state: "detached" });
  await plans(maren);
  await before(true);
  maren.noFaults();
});

test("the plan speaks Spanish to whoever does", async (t) => {
  const kitchen = await Kitchen.demo(t);
  const ines = await kitchen.phone("ines");
  await ines.isHeldBy("Inés");
  await plans(ines);
  await rests(ines);
  await ines.sees("Aceptar este plan");
  await ines.looks("plan-es");
  await ines.goesWithin("/plan/order");
  await ines.looks("plan-order-es");
  ines.noFaults();
});
