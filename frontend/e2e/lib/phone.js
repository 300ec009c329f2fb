// A phone in somebody's hand. Its methods are what a cook does and sees, so that a test reads like a shift.
import assert from "node:assert/strict";
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { Wifi } from "./wifi.js";

export const size = { width: 360, height: 740 };
const sizes = { day: size, night: { width: 320, height: 640 } };
const patience = 15_000;
const CORE = ["core", "rest", "later"]; // the parts that it comes in

export class Phone {
  /**
   * @param {import("node:test").TestContext} t
   * @param {{browser: any, server: any, name?: string, clockOff?: number, options?: object}} of
   */
  static async open(t, { browser, server, name = "phone", clockOff = 0, options = {} }) {
    const wifi = await Wifi.open(t);
    const context = await browser.newContext({
      viewport: size,
      proxy: wifi.proxy,
      hasTouch: true,
      reducedMotion: "reduce", // else a ring is drawn over and over, for nobody
      locale: "en-US",
      timezoneId: "America/New_York",
      ...options,
    });
    t.after(() => context.close().catch(() => {}));
    if (clockOff) {
      wifi.missing.add("/sw.js"); // its cache would hand the worker over as it is
      await setClockOff(context, clockOff);
    }
    const phone = new this(await context.newPage(), server, name, wifi);
    if (server.demo) await phone.goes("/");
    return phone;
  }

  constructor(page, server, name, wifi = null) {
    Object.assign(this, { page, server, name, wifi, touch: true });
    this.faults = [];
    this.stalls = []; // parts of the core that were called for before they came: all else stood still meanwhile
    page.setDefaultTimeout(patience);
    this.#watch(page);
  }

  #watch(page) {
    page.on("pageerror", (error) => this.faults.push(String(error.stack ?? error)));
    page.on("console", (line) => {
      const text = line.text();
      if (/is called for before it came/.test(text)) this.stalls.push(`${this.path}: ${text}`);
      const lost =
        /response code \(404\)|ERR_(CONNECTION|PROXY|EMPTY|NETWORK|INTERNET|TUNNEL|ABORTED)|WebSocket|Failed to fetch|net::/.test(text);
      if (line.type() === "error" && !lost) this.faults.push(text);
    });
  }

  /** Waits until this phone holds all that it needs out of touch: what only some screens need comes when all else is there. */
  async holdsAll() {
    await this.page.waitForFunction(async (parts) => {
      const names = await caches.keys();
      const kept = await Promise.all(names.map(async (name) => (await (await caches.open(name)).keys()).map(({ url }) => url)));
      return kept.some((urls) => parts.every((part) => urls.some((url) => new RegExp(`/${part}\\.\\w+\\.wasm$`).test(url))));
    }, CORE);
  }

  /** Opens an address and waits until the core has drawn it. */
  async goes(path) {
    await this.page.goto(this.server.origin + path, { waitUntil: "domcontentloaded" });
    await this.drawn();
  }

  async reloads() {
    await this.page.reload({ waitUntil: "domcontentloaded" });
    await this.drawn();
  }

  /** Waits until the rules themselves, not the remembered picture, have drawn the page. */
  async drawn() {
    await this.page.waitForFunction(() => globalThis.brinebell?.live === true, null, { timeout: 30_000 });
  }

  get path() {
    const url = new URL(this.page.url());
    return url.pathname + url.search;
  }

  /** Shows a lead's code to the kitchen. */
  async joins(code, name) {
    await this.page.goto(`${this.server.origin}/join?code=${encodeURIComponent(code)}&name=${encodeURIComponent(name)}`);
    await this.pokes(this.page.locator("[data-do=page-join]"));
    await this.drawn();
  }

  /** Says who holds the phone. */
  async isHeldBy(name) {
    const drawn = await this.page.evaluate(() => globalThis.brinebell?.live === true).catch(() => false);
    await (drawn ? this.goesWithin("/who") : this.goes("/who"));
    await this.pokes(this.page.locator("button[data-do=crew]", { hasText: name }));
    await this.page
      .locator(`button[data-do=crew][aria-pressed=true]`, { hasText: name })
      .or(this.page.locator("html:not([data-view=who])"))
      .first()
      .waitFor();
  }

  /**
   * A finger where the browser has fingers, else a click. What rings over the screen is answered first, and what has just
   * come under the finger is given its moment, in which the page takes no tap. A tap of which the browser tells too late
   * has done what it does, and is not made twice.
   */
  async pokes(locator) {
    const { path } = this;
    const first = await this.#covered();
    for (let i = 0; i < 8; i++) {
      await this.page.waitForFunction(() => !document.querySelector(".settling"));
      const before = await this.#covered();
      try {
        const patient = i === 7 ? patience : 1500;
        return await (this.touch ? locator.tap({ timeout: patient }) : locator.click({ timeout: patient }));
      } catch (error) {
        if (this.path !== path) return; // it did what it does, only slowly
        const now = await this.#covered();
        if (!before.rings && !now.rings && before.sheet !== now.sheet) return;
        if (now.sheet && now.sheet !== first.sheet) return; // a bell may have come over the sheet that it opened
        if (i === 7 || !/Timeout/.test(String(error))) throw new Error(`${this.name} at ${this.path}: ${error}\n${await this.text()}`);
        await this.answersRings();
      }
    }
  }

  /** What lies over the screen: a sheet with what stands on it, and whether something rings. */
  #covered() {
    return this.page.evaluate(() => ({
      sheet: document.querySelector("[data-part=sheet]")?.textContent ?? "",
      rings: Boolean(document.querySelector("[data-part=ring]")),
    }));
  }

  /** Says "Got it" to whatever covers the screen. */
  async answersRings() {
    for (let i = 0; i < 12; i++) {
      const got = this.page.locator("[data-part=ring] [data-do=got]").first();
      if (!(await got.isVisible())) return;
      await got.click({ timeout: 2000 }).catch(() => {});
      await this.page.waitForTimeout(150);
    }
  }

  /** Taps a button or a link by its words. */
  async taps(words) {
    const name = words instanceof RegExp ? words : new RegExp(escaped(words), "i");
    await this.pokes(this.page.getByRole("button", { name }).or(this.page.getByRole("link", { name })).first());
  }

  /** Taps what does a deed: start, move, portion, step, count, discard... */
  async does(deed, within = this.page) {
    await this.pokes(within.locator(`[data-do=${deed}]`).first());
  }

  /** Types a number on the pad that is open, key by key. */
  async types(number) {
    const { page } = this;
    const pad = page.locator("[data-part=sheet] .pad").or(page.locator("main .pad").first()).last(); // a sheet lies over the page's own
    for (const key of String(number)) {
      if (key === ".") await this.pokes(pad.getByRole("button", { name: /Decimal point|Coma decimal/ }));
      else await this.pokes(pad.locator(`[data-key-of-pad="${key}"]`));
    }
    await this.hasDrawnTheAddress();
  }

  /** Waits until the core has drawn what was typed on the page: before, its buttons are those of another number. */
  async hasDrawnTheAddress() {
    await this.page
      .waitForFunction(() => {
        const { pathname, search } = location;
        return document.querySelector("[data-part=sheet]") || document.documentElement.dataset.path === pathname + search;
      })
      .catch(async () => assert.fail(`${this.name}: what was typed is not drawn: ${this.path}, ${await this.inside()}`));
  }

  /** Takes back so many keys of the pad that is open. */
  async erases(keys) {
    const erase = this.page.locator("[data-part=sheet] .pad, main .pad").getByRole("button", { name: /^(Erase|Borrar)/ });
    for (let i = 0; i < keys; i++) await this.pokes(erase.last());
  }

  /** Answers what sheets ask, one after the other: a number, words, the first choice, a second tap. */
  async answers(value) {
    const sheet = this.page.locator("[data-part=sheet]");
    for (let i = 0; i < 4 && (await sheet.isVisible()); i++) {
      const before = await sheet.textContent();
      const choice = sheet.locator(".choices button").first();
      if (await sheet.locator(".pad").isVisible()) await this.types(value);
      else if (await sheet.locator("textarea").isVisible()) await this.#writes(sheet.locator("textarea"), String(value));
      await this.pokes((await choice.isVisible()) ? choice : sheet.locator("button[data-do]").first());
      await this.page.waitForFunction((old) => document.querySelector("[data-part=sheet]")?.textContent !== old, before);
    }
  }

  /** Fills in words. What rings over the sheet is answered first. */
  async #writes(field, text) {
    for (let i = 0; i < 8; i++) {
      await this.answersRings();
      const done = await field.fill(text, { timeout: i === 7 ? patience : 1500 }).then(
        () => true,
        (error) => i === 7 && Promise.reject(error),
      );
      if (done) return;
    }
  }

  /** The key of the step that is to be done now, or "". */
  stepNow() {
    return this.page.evaluate(() => document.querySelector("li.now")?.getAttribute("data-key") ?? "");
  }

  /**
   * Does the steps of the batch that is open, one after the other.
   * @param {number} reading what the probe says
   */
  async doesTheSteps(reading) {
    for (let i = 0; i < 20; i++) {
      const key = await this.stepNow();
      if (!key) return;
      await this.does("step", this.page.locator("li.now"));
      await this.answers(reading);
      await this.page.waitForFunction((old) => document.querySelector("li.now")?.getAttribute("data-key") !== old, key);
    }
    assert.fail(`${this.name}: the steps do not end at ${this.path}`);
  }

  /** Goes to another screen without loading the page again, as a tap on a link does. */
  async goesWithin(path) {
    await this.page.evaluate((to) => {
      const link = document.createElement("a");
      link.href = to;
      document.getElementById("app").append(link);
      link.click();
      link.remove();
    }, path);
    await this.page
      .waitForFunction((to) => document.documentElement.dataset.path === to && globalThis.brinebell?.live, path)
      .catch(async () => assert.fail(`${this.name} is not at ${path}: ${await this.inside()}\n${await this.text()}`));
  }

  /**
   * Nothing on the screen is wider than a phone, large or small. With SHOTS set it lands there as pictures, by day and by
   * night, for who wants to look.
   * @param {string} name
   */
  async looks(name) {
    const { page } = this;
    for (const [face, { width, height }] of Object.entries(sizes)) {
      await page.setViewportSize({ width, height });
      const wide = await page.evaluate(
        () => Math.max(...["html", "main"].map((it) => document.querySelector(it).scrollWidth)) - innerWidth,
      );
      assert.ok(wide <= 0, `${this.name}: ${name} is ${wide} px wider than a phone of ${width}`);
      if (process.env.SHOTS) await this.#shot(name, face, width, height);
    }
    await page.setViewportSize(size);
  }

  async #shot(name, face, width, height) {
    const { page } = this;
    await mkdir(process.env.SHOTS, { recursive: true });
    const all = await page.evaluate((to) => {
      document.documentElement.dataset.face = to;
      const main = document.querySelector("main");
      return main.scrollHeight + innerHeight - main.clientHeight;
    }, face);
    await page.setViewportSize({ width, height: Math.min(Math.max(all, height), 4000) });
    await page.screenshot({ path: join(process.env.SHOTS, `${name}-${width}.png`) });
    await page.setViewportSize({ width, height });
    await page.evaluate(() => delete document.documentElement.dataset.face);
  }

  /** Fills in a field of text. */
  async fills(name, text) {
    await this.#writes(this.page.locator(`#field-${name}`), text);
  }

  /** Sees a refusal, what it says and what to do, and leaves it. */
  async isRefused(...words) {
    const box = this.page.locator("[data-part=refusal]");
    for (const one of words) {
      const said = box.filter({ hasText: one instanceof RegExp ? one : new RegExp(escaped(one), "i") });
      await said.waitFor().catch(async () => assert.fail(`${this.name} is not told "${one}" at ${this.path}:\n${await this.text()}`));
    }
    await this.pokes(box.getByRole("button").last());
    await box.waitFor({ state: "hidden" });
  }

  /** Sees words on the sheet that is open. */
  async seesOnTheSheet(words) {
    await this.page
      .locator("[data-part=sheet]", { hasText: words instanceof RegExp ? words : new RegExp(escaped(words), "i") })
      .waitFor()
      .catch(async () => assert.fail(`${this.name} does not see ${words} on the sheet:\n${await this.text()}`));
  }

  /** What the page says of itself, for when a test fails. */
  inside() {
    return this.page.evaluate(() => {
      const { live, owner, notices } = globalThis.brinebell ?? {};
      return JSON.stringify({ ...document.documentElement.dataset, live, owner, notices, visible: document.visibilityState });
    });
  }

  strip(key) {
    return this.page.locator(`li[data-key="${key}"]`);
  }

  /** What rings on this phone now: its bells' keys, most urgent first. */
  rings() {
    return this.page.locator("[data-part=ring], [data-part=ringbar]");
  }

  /** How many deviations wait for the lead. */
  async deviations() {
    const before = this.path;
    await this.goesWithin("/deviations");
    await this.page.locator("html[data-view=deviations]").waitFor();
    const count = await this.page.locator("a[href^='/deviation/']").count();
    await this.goesWithin(before);
    return count;
  }

  /** The ids of the batches on the line, in its order. */
  async batches() {
    return this.page.evaluate(() =>
      [...document.querySelectorAll("li[data-key]")]
        .map((li) => li.querySelector("a[href^='/batch/']")?.getAttribute("href")?.split("/")[2])
        .filter(Boolean),
    );
  }

  async sees(words, within = patience) {
    const text = words instanceof RegExp ? words : new RegExp(escaped(words), "i");
    await this.page
      .locator("body")
      .filter({ hasText: text })
      .waitFor({ timeout: within })
      .catch(async () => assert.fail(`${this.name} does not see ${text} at ${this.path}:\n${await this.text()}`));
  }

  async doesNotSee(words) {
    const text = words instanceof RegExp ? words : new RegExp(escaped(words), "i");
    for (let i = 0; i < 25 && text.test(await this.text()); i++) await this.page.waitForTimeout(200); // what another phone did is on its way
    assert.doesNotMatch(await this.text(), text, `${this.name} at ${this.path}`);
  }

  text() {
    return this.page
      .locator("body")
      .allInnerTexts()
      .then((texts) => texts.join("\n"));
  }

  /** What the saved row says: in "kitchen", on this "phone" or "new"; and how many entries wait. */
  saved() {
    return this.page.evaluate(() => ({
      where: document.documentElement.dataset.saved,
      waiting: Number(document.documentElement.dataset.waiting ?? 0),
    }));
  }

  async isSavedIn(where) {
    await this.page
      .waitForFunction((want) => document.documentElement.dataset.saved === want, where, { timeout: 25_000 })
      .catch(async () => assert.fail(`${this.name}: not saved in ${where}: ${JSON.stringify(await this.saved())}\n${await this.text()}`));
  }

  /** Hex of the hash of the whole state that this phone's core holds. */
  state() {
    return this.page.evaluate(() => globalThis.brinebell.stateHash());
  }

  /** The saved row says that the kitchen is out of reach. */
  async isOutOfTouch(within = 25_000) {
    await this.page.locator("[data-link=out]").waitFor({ timeout: within });
  }

  noFaults() {
    assert.deepEqual(this.faults, [], `${this.name}: errors in the page`);
  }
}

/** The words of a text as a pattern; between a number and its unit stands a space that does not break. */
const escaped = (text) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&").replaceAll(" ", "\\s");

/** Puts a phone's calendar clock off by so many milliseconds, in its pages and in its worker. */
async function setClockOff(context, off) {
  const shift = `{const True=Date;const off=${off};globalThis.Date=class extends True{constructor(...a){if(a.length)super(...a);else super(True.now()+off)}static now(){return True.now()+off}};const o=performance.timeOrigin;globalThis.trueOrigin=o;Object.defineProperty(performance,"timeOrigin",{get:()=>o+off})}`;
  await context.addInitScript(shift);
  await context.route(/\/(assets\/)?worker[^/]*\.js$/, async (route) => {
    const answer = await route.fetch();
    await route.fulfill({ response: answer, body: `${shift};\n${await answer.text()}` });
  });
}

/** Waits until every phone holds the same state. */
export async function allAgree(phones, within = 20_000) {
  const until = Date.now() + within;
  let states = [];
  while (Date.now() < until) {
    states = await Promise.all(phones.map((phone) => phone.state()));
    if (states.every((state) => state && state === states[0])) return;
    await new Promise((done) => setTimeout(done, 250));
  }
  assert.fail(`phones differ: ${phones.map((p, i) => `${p.name} ${states[i]}`).join(", ")}`);
}
