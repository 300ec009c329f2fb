// What a machine can find wrong with a screen: for whoever cannot see it, for wet gloves, for a narrow phone.
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
export const least = 56; // px

/** All that is wrong with a screen, or nothing. */
export const faults = async (page) => [...(await violations(page)), ...(await smallTargets(page))];

/**
 * What axe finds.
 * @param {"all" | "colours"} [what] colours: all that another face can change of a screen
 */
export async function violations(page, what = "all") {
  if (!(await page.evaluate(() => "axe" in globalThis))) await page.evaluate(axe);
  return page.evaluate(
    async (only) => {
      const { violations } = await globalThis.axe.run(document, { resultTypes: ["violations"], ...only });
      return violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`);
    },
    what === "all" ? {} : { runOnly: { type: "rule", values: ["color-contrast", "link-in-text-block"] } },
  );
}

/** What can be tapped and is smaller than a wet glove needs. */
export function smallTargets(page) {
  return page.evaluate((least) => {
    const small = [];
    for (const el of document.querySelectorAll("a[href], button, input, textarea, select, summary, [role=button]")) {
      const { width, height } = el.getBoundingClientRect();
      if (el.matches(".skip, [inert] *, :disabled") || (width === 0 && height === 0)) continue;
      if (width < least - 0.5 || height < least - 0.5)
        small.push(`${el.outerHTML.slice(0, 90)} is ${width.toFixed(1)} x ${height.toFixed(1)}`);
    }
    return small;
  }, least);
}

/** What sticks out sideways, or "". */
export function sideways(page) {
  return page.evaluate(() => {
    const most = document.documentElement.clientWidth;
    const scrollers = [document.documentElement, document.body, ...document.querySelectorAll("main")];
    const wide = scrollers.find((el) => el.scrollWidth > el.clientWidth + 1);
    if (!wide) return "";
    const out = [...document.querySelectorAll("#app *")].find((el) => el.getBoundingClientRect().right > most + 1);
    return `${wide.tagName} is ${wide.scrollWidth} px wide in ${wide.clientWidth}: ${out?.outerHTML.slice(0, 160)}`;
  });
}
