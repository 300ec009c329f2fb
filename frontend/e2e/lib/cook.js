// What a cook does with a phone, in the words of the kitchen.
import assert from "node:assert/strict";
import { Phone } from "./phone.js";

export class Cook extends Phone {
  // ---- batches ----

  /** Starts one tub and leaves its screen open. @returns its id */
  async startsATub(procedure, kilograms, lot) {
    const before = await this.batchesOf("/");
    await this.goesWithin(`/start/${procedure}`);
    await this.types(kilograms);
    await this.page.locator("input.field").first().fill(lot);
    await this.does("start");
    const [tub] = await this.newBatches(before);
    await this.opensBatch(tub);
    return tub;
  }

  async opensBatch(id) {
    await this.goesWithin(`/batch/${id}`);
  }

  /** Takes the open batch to its next stage, in the same vessel. */
  async movesOn() {
    const main = this.page.locator("main");
    await main.locator("[data-do=move]").first().waitFor();
    const before = await this.page.evaluate(onward);
    await this.does("move", main);
    await this.answers();
    for (let i = 0; (await this.page.evaluate(onward)) === before; i++) {
      assert.ok(i < 150, `${this.name} does not move on at ${this.path}: ${await this.inside()}\n${await this.text()}`);
      await this.page.waitForTimeout(100);
    }
  }

  /** Waits at the open batch until it may be taken on. */
  async waitsUntilReady() {
    await this.page
      .locator("main [data-state=ready], main [data-state=best], main [data-state=last]")
      .first()
      .waitFor({ timeout: 45_000 })
      .catch(async () => assert.fail(`${this.name} waits in vain at ${this.path}:\n${await this.text()}`));
  }

  /** Takes the open batch into other vessels. @returns the ids of the new batches */
  async portions({ place = "", pieces = 0 } = {}) {
    const before = await this.batchesOf("/");
    await this.pokes(this.page.locator("main a[href^='/portion/'], main a[href^='/load/'], main [data-do=portion]").first());
    if (this.path.startsWith("/portion") || this.path.startsWith("/load")) {
      if (place) await this.choosesPlace(place);
      if (pieces) await this.types(pieces);
      await this.does("portion", this.page.locator("body"));
    }
    await this.answers(pieces || undefined);
    return this.newBatches(before);
  }

  /** Takes a tub from its first step to pans that have set. @returns the ids of the pans */
  async setsPans(kilograms, number) {
    const tub = await this.startsATub("quick", kilograms, "FR-1");
    await this.doesTheSteps(2);
    await this.movesOn();
    await this.opensBatch(tub); // it leads to its date mark
    await this.waitsUntilReady();
    await this.movesOn();
    await this.doesTheSteps();
    await this.waitsUntilReady();
    const before = await this.batchesOf("/");
    await this.goesWithin(`/portion/${tub}?at=n`);
    await this.types(number);
    for (let i = 0; i < 4 && this.path.startsWith("/portion/"); i++) {
      await this.does("portion", this.page.locator("main")); // a page that was just drawn anew takes no tap for a moment
      await this.page.waitForURL((url) => !url.pathname.startsWith("/portion/"), { timeout: 4000 }).catch(() => {});
    }
    let pans = [];
    while (pans.length < number) pans = await this.newBatches(before);
    for (const pan of pans) {
      await this.opensBatch(pan);
      await this.doesTheSteps();
      await this.movesOn();
    }
    await this.opensBatch(pans.at(-1));
    await this.waitsUntilReady();
    return pans;
  }

  /** Cooks the load that is open, until it may go into trays. */
  async cooksIt(core) {
    await this.doesTheSteps(168);
    await this.movesOn(); // cook
    await this.waitsUntilReady();
    await this.movesOn(); // release
    await this.doesTheSteps(core);
    await this.movesOn(); // rest over the oil
    await this.waitsUntilReady();
  }

  /** What a batch is called. */
  async nameOf(id) {
    await this.opensBatch(id);
    return this.page.locator("h1").first().textContent();
  }

  /** Taps the row of a name under a heading. */
  async choosesFrom(title, name) {
    const box = this.page.locator("section.rows", { hasText: title });
    await this.pokes(box.locator("a.row", { hasText: name }));
  }

  async choosesPlace(place) {
    const row = this.page.locator(`main a[href*="${place}"]`).first();
    if (await row.isVisible()) await this.pokes(row);
  }

  /** The ids of the open batches, as a screen lists them. */
  async batchesOf(path) {
    const back = this.path;
    await this.goesWithin(path);
    const list = await this.batches();
    await this.goesWithin(back);
    return list;
  }

  async newBatches(before) {
    const back = this.path;
    for (let i = 0; i < 100; i++) {
      const fresh = (await this.batchesOf("/")).filter((id) => !before.includes(id));
      if (fresh.length) {
        await this.goesWithin(back);
        return fresh;
      }
      await this.page.waitForTimeout(100);
    }
    return assert.fail(`${this.name}: no new batch at ${this.path}:\n${await this.text()}`);
  }

  /** Reads a piece of equipment. */
  async reads(place, degrees) {
    await this.goesWithin(`/place/${place}`);
    await this.types(degrees);
    await this.does("reading");
    await this.sees(new RegExp(`${degrees}([.,]0)?\\s*°C`));
  }

  // ---- the hold ----

  /** The id of the first tray that can be sold from. */
  async firstTray() {
    await this.page.locator("li[data-key] [data-do=count]").first().waitFor();
    return this.page.evaluate(() => document.querySelector("[data-do=count]")?.closest("li")?.getAttribute("data-key"));
  }

  async piecesIn(tray) {
    const text = await this.strip(tray).locator(".left .n").first().textContent();
    return Number(text);
  }

  async hasPieces(tray, pieces) {
    await this.page
      .waitForFunction(([key, n]) => document.querySelector(`li[data-key="${key}"] .left .n`)?.textContent === String(n), [tray, pieces], {
        timeout: 20_000,
      })
      .catch(async () => assert.fail(`${this.name}: not ${pieces} in ${tray}:\n${await this.text()}`));
  }

  async sellsOne(tray) {
    const before = await this.piecesIn(tray);
    await this.pokes(this.strip(tray).locator("[data-do=count]").first());
    await this.hasPieces(tray, before - 1);
  }

  /** Sells so many pieces of a tray, four at a time, until it is empty. */
  async sells(tray, pieces) {
    for (let left = pieces; left > 0; ) {
      const four = left >= 4;
      await this.pokes(
        this.strip(tray)
          .locator("[data-do=count]")
          .nth(four ? 1 : 0),
      );
      left -= four ? 4 : 1;
      if (left) await this.hasPieces(tray, left);
    }
    await this.strip(tray).waitFor({ state: "hidden" });
  }

  /** Throws away what is in a batch: two taps, and a reason where one is asked for. */
  async discards(id) {
    await this.opensBatch(id);
    await this.does("discard", this.page.locator("main"));
    await this.answers("dropped");
    await this.sees("Discarded");
  }

  // ---- notes, timers, bells ----

  /** Sets a plain timer of so many minutes: two taps. */
  async setsATimer(name, minutes) {
    await this.goesWithin(`/timer/new?name=${encodeURIComponent(name)}`);
    await this.pokes(this.page.locator("[data-do=timer]", { hasText: new RegExp(`^\\s*${minutes} min`) }));
    await this.page.waitForURL((url) => url.pathname !== "/timer/new");
  }

  async hearsRing(name, within = 30_000) {
    await this.page
      .locator("[data-part=ring]")
      .filter({ hasText: name })
      .waitFor({ timeout: within })
      .catch(async () => assert.fail(`${this.name} does not hear ${name}:\n${await this.text()}`));
  }

  async isSilent(name) {
    await this.page.locator("[data-part=ring]").filter({ hasText: name }).waitFor({ state: "hidden" });
  }

  /** Answers what rings. */
  async says(words) {
    await this.pokes(this.page.locator("[data-part=ring] .acts button", { hasText: words }).first());
  }

  /** The phone of its own browser is put away: nothing of its page or its worker runs. */
  sleeps() {
    return this.own.freezes();
  }

  wakes() {
    return this.own.thaws();
  }

  /** Counts up in the page, 20 times a second while it is awake. */
  counts() {
    return this.page.evaluate(() => {
      globalThis.ticks = 0;
      setInterval(() => globalThis.ticks++, 50);
    });
  }

  ticks() {
    return this.page.evaluate(() => globalThis.ticks);
  }

  kitchenNow() {
    return this.page.evaluate(() => globalThis.brinebell.kitchenNow());
  }

  /**
   * When each bell that is booked will sound, on this machine's own clock, in ms.
   * @returns {Promise<Map<string, number>>}
   */
  async bookedInstants() {
    const list = await this.page.evaluate(() => {
      const origin = globalThis.trueOrigin ?? performance.timeOrigin;
      return globalThis.brinebell.booked.map(({ key, at, page }) => [`${key} ${at}`, origin + page]);
    });
    return new Map(list);
  }

  /** Writes a note on a batch, and sees it in the undo bar: it is kept. */
  async notes(batch, text) {
    await this.opensBatch(batch);
    await this.does("note", this.page.locator("main"));
    await this.answers(text);
    await this.page.locator("[data-part=undo]", { hasText: text }).waitFor();
  }

  /** Sets a tub to marinate, so that in nine seconds it is at its best and rings. @returns its id */
  async setsATub() {
    const tub = await this.startsATub("quick", 6, "FR-1");
    await this.doesTheSteps(2);
    await this.movesOn();
    return tub;
  }

  // ---- devices ----

  async asksToJoin(code, name) {
    await this.page.goto(`${this.server.origin}/join?code=${encodeURIComponent(code)}&name=${encodeURIComponent(name)}`);
    await this.pokes(this.page.locator("[data-do=page-join]"));
  }

  /** Takes another device off the kitchen. */
  async revokes(name) {
    await this.goesWithin("/devices");
    const row = this.page.locator("li, section", { hasText: name }).locator("[data-do=revoke]").last();
    await this.pokes(row);
    await this.answers("lost");
  }

  // ---- by keyboard ----

  async presses(key) {
    await this.page.keyboard.press(key);
  }

  /** Goes by the tab key to what a selector names. */
  async tabsTo(selector) {
    for (let i = 0; i < 80; i++) {
      if (i % 20 === 0) await this.answersRings(); // under one nothing else can be reached
      if (await this.page.evaluate((want) => document.activeElement?.matches(want), selector)) return;
      await this.page.keyboard.press("Tab");
    }
    assert.fail(`${this.name} cannot reach ${selector} with the tab key at ${this.path}`);
  }

  /** The whole app is in this phone's cache: from now on it starts without a server. */
  async isInTheCache() {
    await this.page.evaluate(() => navigator.serviceWorker.ready.then((reg) => reg.active && undefined));
    await this.page.waitForFunction(async () => (await navigator.serviceWorker.getRegistration())?.active?.state === "activated");
    await this.holdsAll();
  }

  /** The id of the first batch on a page whose name begins so. @param {string} path @param {string} name */
  async batchCalled(path, name) {
    await this.goesWithin(path);
    const link = this.page.locator("a[href^='/batch/']", { hasText: new RegExp(`^\\s*${name}`) }).first();
    return (await link.getAttribute("href")).split("/")[2];
  }
}

/** Where a batch can be taken from here: another stage, or a date mark, has another. What else a screen says may change by itself. */
function onward() {
  return `${location.pathname} ${document.querySelector("main [data-do=move] span")?.textContent ?? ""}`;
}
