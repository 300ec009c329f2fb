// The parts of a screen, each drawn by its own module. A kind that is not known here is left out, not guessed at.
import { html, nothing } from "lit-html";
import { repeat } from "lit-html/directives/repeat.js";
import { ringtest, settings } from "./device.js";
import { far } from "./far.js";
import { fold } from "./fold.js";
import { guided, matches, matching, spoken, track } from "./guide.js";
import { lanes, sentences, tabs } from "./lanes.js";
import { logfile } from "./logfile.js";
import { mark, qrPart } from "./mark.js";
import { field, pad } from "./pad.js";
import { plot } from "./plot.js";
import { importing, sensors } from "./readings.js";
import { buttonsPart, choice, empty, fault, group, head, history, note, pairs, tree } from "./rows.js";
import { cautionBox, step } from "./steps.js";
import { strip } from "./strip.js";

/**
 * @typedef {import("./page.js").Page} Page
 * @typedef {import("./steady.js").Placed} Placed
 */

/** @type {Record<string, (part: any, page: Page, first: boolean) => any>} */
const single = {
  group,
  note,
  empty,
  head,
  pairs,
  choice,
  history,
  tree,
  fault,
  pad,
  plot,
  field,
  mark,
  settings,
  ringtest,
  buttons: buttonsPart,
  sensors,
  import: importing,
  logfile,
  lanes,
  sentences,
  tabs,
  guided,
  matches,
  matching,
  spoken,
  track,
  qr: qrPart,
  fold: (part, page) => fold(part, (one) => single[one.p]?.(one, page, false) ?? nothing),
  far: (part, page) => far(part, page, (one) => single[one.p]?.(one, page, false) ?? nothing),
  caution: (part, page) => html`<div class="sheet tight cautious">${cautionBox(part, page)}</div>`,
};

const lists = new Set(["strip", "step"]);

/**
 * Strips in a row become one list, steps in a row another; the rest stand alone.
 * @param {Placed[]} placed
 * @returns {{id: string, list: string, items: Placed[]}[]}
 */
export function sections(placed) {
  const all = /** @type {{id: string, list: string, items: Placed[]}[]} */ ([]);
  for (const it of placed) {
    const list = lists.has(it.part.p) ? it.part.p : "";
    const open = all.at(-1);
    if (list && open && open.list === list) open.items.push(it);
    else all.push({ id: list ? `${list}s after ${open?.id ?? "top"}` : it.id, list, items: [it] });
  }
  return all;
}

/** @param {ReturnType<typeof sections>[number]} section @param {Page} page @param {number} level of a name in it as a heading */
function drawn(section, page, level) {
  const key = (/** @type {Placed} */ it) => it.id;
  if (section.list === "strip")
    return html`<ol class="line">${repeat(section.items, key, (it) => strip(it.part, page, it.gone, level))}</ol>`;
  if (section.list === "step") return html`<ol class="steps">${repeat(section.items, key, (it) => step(it.part, page, level))}</ol>`;
  const [{ part }] = section.items;
  return single[part.p]?.(part, page, part.name === page.screen.title) ?? nothing;
}

/** @param {Page} page */
export function parts(page) {
  const all = sections(page.placed);
  const grouped = all.findIndex((section) => section.items[0].part.p === "group");
  const level = (/** @type {number} */ i) => (grouped >= 0 && grouped < i ? 3 : 2);
  return repeat(
    all,
    (section) => section.id,
    (section, i) => drawn(section, page, level(i)),
  );
}
