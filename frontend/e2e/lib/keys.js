// A phone, or a computer, on which somebody works with the keyboard alone.
import assert from "node:assert/strict";

/**
 * Takes the finger off a phone: what was a tap is now the tab key until it is there, and Enter; what was typed on the pad is
 * typed; what rings is answered the same way. A key that something new took, because it came up between looking and
 * pressing, is pressed again, as anybody would who sees that nothing came of it.
 */
export function byKeys(phone) {
  const { page } = phone;
  const pressed = phone.presses.bind(phone);
  const ringing = () => page.locator("[data-part=ring]").isVisible();
  const settled = () => page.waitForFunction(() => !document.querySelector(".settling"));
  const display = page.locator(":is([data-part=sheet], main) .reading output").last();
  /** Whether the display soon shows something else. */
  const changes = async (before) => {
    for (let i = 0; i < 20; i++) {
      if ((await display.textContent()) !== before) return true;
      await page.waitForTimeout(100);
    }
    return false;
  };
  const drawn = (path) => page.waitForFunction((to) => document.documentElement.dataset.path?.split("?")[0] === to, path);
  /** Goes there by Tab and presses Enter. @returns whether it was what took the key */
  const enters = async (locator) => {
    for (let i = 0; i < 150; i++) {
      const there = (await locator.count()) > 0 && (await locator.evaluateAll((all) => all.includes(document.activeElement)));
      if (there) return entered(locator);
      await phone.presses("Tab");
      if (i % 10 === 9 && (await ringing())) return false;
    }
    return false;
  };
  const entered = async (locator) => {
    const watched = await locator.evaluateAll((all) => {
      const it = all.find((one) => one === document.activeElement);
      if (!it) return false;
      globalThis.tookEnter = false;
      addEventListener("keydown", ({ target }) => (globalThis.tookEnter = target === it), { capture: true, once: true });
      return true;
    });
    if (!watched) return false;
    await phone.presses("Enter");
    return page.evaluate(() => globalThis.tookEnter).catch(() => true); // a link may have led on
  };
  phone.keys = 0;
  return Object.assign(phone, {
    presses(key) {
      phone.keys++;
      return pressed(key);
    },
    async pokes(locator) {
      for (let i = 0; i < 6; i++) {
        await phone.answersRings();
        await locator
          .first()
          .waitFor({ timeout: 4000 })
          .catch(() => {});
        await settled();
        if (await enters(locator)) return;
      }
      assert.fail(`${phone.name} cannot reach ${locator} by keyboard at ${phone.path}:\n${await phone.text()}`);
    },
    /** Goes there by a link of the screen: a place at the bottom, or the way back. */
    async goesByLink(path) {
      await phone.pokes(page.locator(`a[href="${path}"]`));
      await drawn(path);
    },
    async startsATub(procedure, kilograms, lot) {
      const before = await phone.batchesOf("/");
      await phone.goesByLink("/");
      await phone.goesByLink("/start");
      await phone.pokes(page.locator(`main a[href="/start/${procedure}"]`));
      await phone.types(kilograms);
      await phone.tabsTo("input.field");
      await page.keyboard.type(lot);
      await phone.does("start");
      const [tub] = await phone.newBatches(before);
      await phone.opensBatch(tub);
      return tub;
    },
    /** Each digit is seen on the display before the next is typed. */
    async types(number) {
      for (const key of String(number)) {
        for (let i = 0; ; i++) {
          assert.ok(i < 6, `${phone.name} types ${key} of ${number} in vain at ${phone.path}:\n${await phone.text()}`);
          await phone.answersRings();
          await display.waitFor();
          const before = await display.textContent();
          await phone.presses(key);
          if (await changes(before)) break;
        }
      }
      await phone.hasDrawnTheAddress();
    },
    async answersRings() {
      const got = page.locator("[data-part=ring] [data-do=got]").first();
      for (let i = 0; i < 12 && (await ringing()); i++) {
        await settled();
        await enters(got);
        await page.waitForTimeout(150);
      }
    },
    /** From the Line where the batch stands on it. */
    async opensBatch(id) {
      await phone.goesWithin("/");
      await phone.answersRings();
      const link = page.locator(`main a[href="/batch/${id}"]`).first();
      if (!(await link.isVisible())) return phone.goesWithin(`/batch/${id}`);
      await phone.pokes(link);
      await drawn(`/batch/${id}`);
    },
  });
}
