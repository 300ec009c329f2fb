// A night of practice, as somebody plays it: what was told of a wrong answer is remembered for the next time.
import assert from "node:assert/strict";

const replies = "main [data-do=practice-reply]";
const on = ".pacing [data-do=practice-go]";

/** The words of the screen, by the language of whoever plays. */
const said = {
  en: { right: "Right", did: "Done", better: "Better" },
  es: { right: "Bien", did: "Hecho", better: "Mejor" },
};

/** @typedef {{title: string, grade: string, right: boolean, did: string, better: string}} Note what came of an answer */

/** Begins the night of a rung, by its place on the ladder. */
export async function begins(phone, rung = 0) {
  await phone.goesWithin("/practice");
  await phone.pokes(phone.page.locator("button[data-do=page-practice]").nth(rung));
  await phone.page.waitForFunction(() => document.documentElement.dataset.mode === "practice");
  await phone.page.waitForURL((url) => url.pathname === "/practice/night/");
}

/** Waits until the screen of practice is of a kind. */
export async function isAt(phone, ...kinds) {
  await phone.page
    .waitForFunction((all) => all.includes(document.documentElement.dataset.view), kinds)
    .catch(async () => assert.fail(`${phone.name} is not at ${kinds}: ${await phone.inside()}\n${await phone.text()}`));
  return phone.page.evaluate(() => document.documentElement.dataset.view);
}

/** Taps what leads on from a screen of practice, until it has: a tap that came too early counts for nothing, and what really rings comes first. */
export async function leaves(phone, kind, button) {
  const { page } = phone;
  const still = () => page.evaluate((was) => document.documentElement.dataset.view === was, kind);
  for (let i = 0; i < 12 && (await still()); i++) {
    await phone.answersRings();
    await page.waitForFunction(() => !document.querySelector(".settling"));
    await button.tap({ timeout: 2000 }).catch(() => {});
    await page.waitForFunction((was) => document.documentElement.dataset.view !== was, kind, { timeout: 2000 }).catch(() => {});
  }
  assert.ok(!(await still()), `${phone.name} does not get on from ${kind}:\n${await phone.text()}`);
}

/** Runs as fast as it goes. */
export async function runsFast(phone) {
  const faster = phone.page.locator(".pacing [data-do=practice-pace]").nth(1);
  for (let i = 0; i < 2; i++) await phone.pokes(faster);
  await phone.pokes(phone.page.locator(on));
}

/** Answers every trouble until the night is over. @param {(i: number) => number} which answer of the i-th */
export async function playsOn(phone, which = () => 0) {
  for (let i = 0; i < 40; i++) {
    const kind = await isAt(phone, "trouble", "told", "debrief");
    if (kind === "debrief") return;
    if (kind === "trouble") await leaves(phone, kind, phone.page.locator(replies).nth(which(i)));
    else await leaves(phone, kind, phone.page.locator(on));
  }
  assert.fail("the night does not end");
}

/** A text without its numbers: another answer before may have changed them. */
const wordsOf = (text) => text.replace(/[\d.,]+/g, "").trim();

/**
 * Plays a night, the last answer of each trouble where it is not known better.
 * @param {Map<string, string>} [right] the answers by the title of their trouble
 * @returns {Promise<Note[]>}
 */
export async function playsAndNotes(phone, right = new Map()) {
  const { page } = phone;
  const words = said[await page.evaluate(() => document.documentElement.lang)] ?? said.en;
  const notes = [];
  const row = async (name) => {
    const found = page.locator("main dt", { hasText: new RegExp(`^${name}$`) });
    return (await found.count()) ? (await found.first().locator("xpath=following-sibling::dd[1]").textContent()).trim() : "";
  };
  for (let i = 0; i < 40; i++) {
    const kind = await isAt(phone, "trouble", "told", "debrief");
    if (kind === "debrief") return notes;
    const title = (await page.locator("header.top h1").textContent()).trim();
    if (kind === "trouble") {
      const answers = page.locator(replies);
      const known = (await answers.allTextContents()).findIndex((text) => wordsOf(text) === wordsOf(right.get(title) ?? ""));
      await leaves(phone, kind, known >= 0 ? answers.nth(known) : answers.last());
    } else {
      const grade = (await page.locator("main h2.group").first().textContent()).trim();
      notes.push({ title, grade, right: grade === words.right, did: await row(words.did), better: await row(words.better) });
      await leaves(phone, kind, page.locator(on));
    }
  }
  return assert.fail("the night does not end");
}

/** What somebody knows after a night: for each trouble the answer that was right, or that was told to be better. @param {Note[]} notes */
export const learns = (notes) => notes.map(({ title, did, better }) => /** @type {[string, string]} */ ([title, better || did]));
