// Draws the screens that the core makes. It decides nothing: a button carries the command that the core gave it.
//
//   draw(root, screen, hands)   may be called as often as one likes; it changes only what changed
import { html, nothing, render } from "lit-html";
import { buttons } from "./button.js";
import { clock } from "./clock.js";
import { focusOn, markFocus, restoreFocus } from "./focus.js";
import { ledBand } from "./guide.js";
import { typeOnPad } from "./pad.js";
import { Page, placeOf } from "./page.js";
import { parts } from "./parts.js";
import { band, pacing } from "./practice.js";
import { measureRails } from "./rail.js";
import { refusal } from "./refusal.js";
import { line } from "./runs.js";
import { sheet } from "./sheet.js";
import { ringBar, takeover } from "./takeover.js";
import { cannotRing, places, standing, top } from "./top.js";
import { undoBar } from "./undo.js";
import { wall } from "./wall.js";

/** @type {WeakMap<HTMLElement, Page>} */
const pages = new WeakMap();

/**
 * @param {HTMLElement} root
 * @param {any} screen as the core made it
 * @param {import("./page.js").Hands} hands what the shell does for the drawing
 */
export function draw(root, screen, hands) {
  let page = pages.get(root);
  if (!page) {
    page = begin(root);
    pages.set(root, page);
  }
  const before = page.screen;
  const moved = page.take(screen, hands);
  if (moved && before) arrive(page, before);
}

/** @param {HTMLElement} root */
function begin(root) {
  const page = new Page(root, paint);
  root.replaceChildren();
  root.addEventListener("click", (event) => follow(event, page));
  for (const kind of ["pointerdown", "pointerup", "pointercancel", "touchmove", "keydown"]) {
    root.addEventListener(kind, () => page.touched(), { passive: true, capture: true });
  }
  root.addEventListener("scroll", () => page.touched(), { passive: true, capture: true });
  document.addEventListener("keydown", (event) => {
    if (!page.sheet && !page.ringShown && !event.defaultPrevented) typeOnPad(event, page);
  });
  clock.follow({ update: () => minute(page) });
  return page;
}

/** @param {Page} page */
function paint(page) {
  const mark = markFocus(page.root);
  const above = page.cannot ? aboveWork(page) : null;
  const bottom = page.cannot?.gone ? above?.getBoundingClientRect().bottom : undefined;
  const over = page.ringShown || (page.sheet ? "sheet" : "");
  dress(page);
  render(page.screen.wall ? html`<div class="wall">${wall(page)}</div>` : phone(page, Boolean(over)), page.root);
  if (above) keepBottom(above, bottom);
  measureRails();
  settle(page, over);
  focusAfter(page, mark, over);
}

/** @param {Page} page */
const aboveWork = (page) => /** @type {HTMLElement | null} */ (page.root.querySelector(".cannot"));

/**
 * keepBottom lets what lies below stay where it is while the rows above grow or shrink.
 * @param {HTMLElement} it @param {number | undefined} bottom where it was; nothing where nobody holds it
 */
function keepBottom(it, bottom) {
  if (bottom === undefined) return void it.style.removeProperty("height");
  const { height, bottom: now } = it.getBoundingClientRect();
  if (now !== bottom) it.style.height = `${Math.max(0, height + bottom - now)}px`;
}

const settlingMs = 400;

/**
 * When something else comes to lie under the finger (a sheet, a ring, another place, the next step, or all of it when what
 * stands above goes), taps count only after a moment: the second half of a double tap with a wet glove must not answer
 * what nobody has read.
 * @param {Page} page @param {string} over
 */
function settle(page, over) {
  const steps = page.placed.filter(({ part }) => part.p === "step" && part.state === "now").map(({ part }) => part.key);
  const above = page.cannot ? "cannot ring" : "";
  const under = [over, placeOf(page.screen), page.moves, above, ...steps].join(" ");
  if (under === page.under) return;
  const first = page.under === "";
  page.under = under;
  if (first && !over) return;
  page.root.classList.add("settling");
  clearTimeout(page.settling);
  page.settling = setTimeout(() => page.root.classList.remove("settling"), settlingMs);
}

/** What lies over the work, the work, what stands below it. @param {Page} page @param {boolean} covered */
function phone(page, covered) {
  const { screen } = page;
  return html`${band(page)}<div class="phone" ?inert=${covered}><a class="skip" href="#main">${page.word("skip")}</a>
    ${top(page)}${standing(page)}${ledBand(page)}${screen.ring && !page.ringShown ? ringBar(page) : nothing}
    <main id="main" tabindex="-1">${work(page)}</main>
    ${refusal(page)}${screen.dock?.length ? html`<footer class="dock">${buttons(screen.dock, page)}</footer>` : nothing}${undoBar(page)}${pacing(page)}${places(page)}</div>
  ${page.sheet ? html`<div ?inert=${Boolean(page.ringShown)}>${sheet(page.sheet, page)}</div>` : nothing}${page.ringShown ? takeover(page) : nothing}`;
}

/** @param {Page} page */
function work(page) {
  const { screen } = page;
  const named = !screen.back || screen.parts?.some((/** @type {any} */ part) => part.p === "head" && part.name === screen.title);
  return html`${named ? nothing : html`<h1 class="naming" tabindex="-1" data-heading>${screen.title}</h1>`}${cannotRing(page)}${(screen.facts ?? []).map((/** @type {any} */ fact) => html`<p class="boat">${line(fact)}</p>`)}${parts(page)}`;
}

/** What the document says of itself: language, title, and what tests and style sheets ask for. @param {Page} page */
function dress({ screen, ringShown, word }) {
  const { documentElement: it } = document;
  if (it.lang !== screen.lang) it.lang = screen.lang ?? "en";
  const name = ringShown ? `${word("ringing")}: ${screen.ring.name}` : screen.title;
  const title = screen.title ? `${name} · Brinebell` : "Brinebell";
  if (document.title !== title) document.title = title;
  it.dataset.view = screen.kind;
  it.dataset.path = screen.path;
  it.dataset.mode = screen.practice ? "practice" : "real";
  it.dataset.saved = screen.saved?.in ?? "new";
  it.dataset.waiting = String(screen.saved?.waiting ?? 0);
  it.classList.toggle("on-wall", Boolean(screen.wall));
  it.classList.toggle("guided-work", Boolean(screen.led));
}

/** @param {Page} page @param {import("./focus.js").Mark | null} mark @param {string} over */
function focusAfter(page, mark, over) {
  const refused = page.screen.refusal ? JSON.stringify(page.screen.refusal) : "";
  if (over !== page.overBefore) {
    if (over && !page.overBefore) page.focusUnder = mark;
    page.overBefore = over;
    if (over) return focusOn(page.root.querySelector(page.ringShown ? "#ring-name" : "#sheet-title"));
    return restoreFocus(page.root, page.focusUnder);
  }
  if (refused && refused !== page.refusedBefore && !over) focusOn(page.root.querySelector("#refusal"));
  else restoreFocus(page.root, mark);
  page.refusedBefore = refused;
}

// ---- from place to place ----

/** @type {Map<string, number>} */
const scrolled = new Map();
let byBack = false;
if (typeof addEventListener !== "undefined") addEventListener("popstate", () => (byBack = true));

const scroller = (/** @type {Page} */ page) => {
  const main = page.root.querySelector("main");
  return main && main.scrollHeight > main.clientHeight + 1 && getComputedStyle(main).overflowY !== "visible"
    ? main
    : document.scrollingElement;
};

/** A new place begins at its top, with the focus on its heading; one come back to stands as it was left. @param {Page} page @param {any} before */
function arrive(page, before) {
  const it = scroller(page);
  if (it) it.scrollTop = byBack ? (scrolled.get(placeOf(page.screen)) ?? 0) : 0;
  byBack = false;
  if (before && !page.ringShown && !page.sheet) focusOn(page.root.querySelector("[data-heading]"));
}

/** Links inside of the app are followed without loading anything. @param {MouseEvent} event @param {Page} page */
function follow(event, page) {
  const link = event.target instanceof Element ? event.target.closest("a[href]") : null;
  if (!(link instanceof HTMLAnchorElement) || event.defaultPrevented || event.button || event.metaKey || event.ctrlKey || event.shiftKey)
    return;
  const href = link.getAttribute("href") ?? "";
  if (!href.startsWith("/") && !href.startsWith("#")) return;
  event.preventDefault();
  if (href.startsWith("#")) return focusOn(page.root.querySelector(href));
  const it = scroller(page);
  if (it) scrolled.set(placeOf(page.screen), it.scrollTop);
  if (link.hasAttribute("data-back") && page.hands.back) page.hands.back(href);
  else page.go(href);
}

/** The clock at the top moves with the minute. @param {Page} page */
function minute(page) {
  if (!page.screen) return;
  const now = Math.floor(clock.now() / 60_000);
  if (page.minute === now) return;
  page.minute = now;
  page.redraw();
}
