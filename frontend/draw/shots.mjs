// Takes pictures of every screen, to be looked at: node draw/shots.mjs [NAME...]  They land in build/shots.
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { site } from "./dev/site.js";

const into = fileURLToPath(new URL("../../build/shots/", import.meta.url));
const phone = { width: 360, height: 740 };
const ways = [
  { way: "day", view: phone, scale: 1.5 },
  { way: "night", view: phone, scale: 1.5, face: "night" },
  { way: "320", view: { width: 320, height: 740 }, scale: 1 },
  { way: "zoom200", view: phone, scale: 1, zoom: true },
];
const wallWays = [
  { way: "day", view: { width: 1920, height: 1080 }, scale: 1 },
  { way: "night", view: { width: 1920, height: 1080 }, scale: 1, face: "night" },
];

/** Text at 200 %, as the browser's own setting does it. @param {import("playwright-core").BrowserContext} context @param {import("playwright-core").Page} page */
async function largeText(context, page) {
  const session = await context.newCDPSession(page);
  await session.send("Page.setFontSizes", { fontSizes: { standard: 32, fixed: 26 } });
}

mkdirSync(into, { recursive: true });
const wanted = process.argv.slice(2);
const { url, names, close } = await site();
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu"],
});
for (const name of names.filter((one) => !wanted.length || wanted.some((part) => one.includes(part)))) {
  for (const { way, view, scale, face, zoom } of name.startsWith("wall") ? wallWays : ways) {
    const context = await browser.newContext({ viewport: view, deviceScaleFactor: scale, colorScheme: "light", reducedMotion: "reduce" });
    const page = await context.newPage();
    if (zoom) await largeText(context, page);
    page.on("console", (message) => message.type() === "error" && console.error(name, message.text()));
    page.on("pageerror", (error) => console.error(name, error.message));
    await page.goto(`${url}/?screen=${name}${face ? `&face=${face}` : ""}`);
    await page.waitForSelector("html[data-drawn]");
    await page.evaluate(() => document.fonts.ready);
    await page.waitForTimeout(120);
    await page.screenshot({ path: `${into}${name}-${way}.png` });
    await context.close();
  }
}
await browser.close();
close();
