// Learning: questions made from the kitchen's own numbers, answered where there is no signal.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Kitchen } from "./lib/kitchen.js";

/** What the page asks. */
async function asked(phone) {
  await phone.page.locator("button[data-do=quiz]").first().waitFor();
  return phone.page.locator("main h2").first().textContent();
}

test("a cook answers questions in the cold room, sees why, and goes on on another phone", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const [maren, teo] = await kitchen.phones("Maren", "Teo");
  await teo.isHeldBy("Teo");
  await maren.isHeldBy("Maren");
  await teo.goesWithin("/more");
  await teo.taps(/^Questions/);
  const seen = new Set();
  await teo.holdsAll();
  await teo.wifi.off();
  await teo.isOutOfTouch();
  for (let i = 0; i < 3; i++) {
    const question = await asked(teo);
    assert.ok(!seen.has(question), `asked twice: ${question}`);
    seen.add(question);
    await teo.does("quiz");
    await teo.page.waitForURL((url) => url.pathname === "/quiz/told");
    await teo.sees(/Right( is)?: /);
    await teo.taps("Next question");
  }
  await asked(teo);
  await teo.sees("questions for now");
  await teo.wifi.on();
  await teo.isSavedIn("kitchen");

  await maren.goesWithin("/quiz");
  const hers = await asked(maren);
  assert.ok(seen.has(hers), "what he was asked she was not yet");
  await maren.isHeldBy("Teo");
  await maren.goesWithin("/quiz");
  assert.ok(!seen.has(await asked(maren)), "on her phone, he goes on where he was");
  teo.noFaults();
  maren.noFaults();
});

test("the second half of a double tap answers no question that nobody has read", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await teo.goesWithin("/quiz");
  await asked(teo);
  await teo.page.evaluate(() => {
    const app = document.getElementById("app");
    const first = document.querySelector("main h2").textContent;
    globalThis.unread = [];
    new MutationObserver(() => {
      const next = document.querySelector("main button[data-do=quiz]") && document.querySelector("main h2")?.textContent;
      if (next && next !== first && location.pathname === "/quiz/told" && !app.classList.contains("settling")) globalThis.unread.push(next);
    }).observe(app, { subtree: true, childList: true, characterData: true, attributes: true, attributeFilter: ["class"] });
  });
  await teo.does("quiz");
  await teo.page.waitForURL((url) => url.pathname === "/quiz/told");
  await teo.sees(/Right( is)?: /);
  assert.deepEqual(await teo.page.evaluate(() => globalThis.unread), [], "they took taps before they were to be read");
  teo.noFaults();
});

test("what was said of an answer stays at its address", async (t) => {
  const kitchen = await Kitchen.quick(t);
  const teo = await kitchen.phone("Teo");
  await teo.isHeldBy("Teo");
  await teo.goesWithin("/quiz");
  await asked(teo);
  await teo.does("quiz");
  await teo.page.waitForURL((url) => url.pathname === "/quiz/told");
  await teo.sees(/Right( is)?: /);
  const told = await teo.page.locator("main").textContent();
  await teo.reloads();
  assert.equal(await teo.page.locator("main").textContent(), told, "it stands in its address");
  teo.noFaults();
});
