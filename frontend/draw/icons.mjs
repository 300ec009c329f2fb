// Makes the icons of several sizes from the one drawing: node draw/icons.mjs. The results are kept with the source, so
// that a build needs no browser.
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const folder = fileURLToPath(new URL("../icons/", import.meta.url));
const drawing = readFileSync(`${folder}icon.svg`, "utf8");
const square = drawing.replace(' rx="88"', "");
// A maskable icon keeps its meaning within the inner 80 %.
const masked = square
  .replace('viewBox="0 0 512 512"', 'viewBox="-64 -64 640 640"')
  .replace('<rect width="512" height="512"', '<rect x="-64" y="-64" width="640" height="640"');

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu"],
});
for (const [name, size, source] of /** @type {[string, number, string][]} */ ([
  ["192", 192, drawing],
  ["512", 512, drawing],
  ["maskable-512", 512, masked],
  ["apple-180", 180, square],
])) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  await page.setContent(
    `<body style="margin:0">${source.replace("<svg", `<svg width="${size}" height="${size}" style="display:block"`)}</body>`,
  );
  await page.screenshot({ path: `${folder}${name}.png`, omitBackground: true });
  await page.close();
}
await browser.close();
