// The standing rows: where am I, what time is it, what is saved, does this device ring; and the places at the bottom.
import { html, nothing } from "lit-html";
import { button } from "./button.js";
import { clock } from "./clock.js";
import { back, bell, saved, waiting } from "./icons.js";
import { machineTime, timeOfDay } from "./lengths.js";

/** @typedef {import("./page.js").Page} Page */

/**
 * The kitchen's time of day; the page keeps it going. A device that holds nothing of the kitchen yet shows its own clock,
 * and says that it is its own.
 * @param {Page} page
 */
export function timeNow(page) {
  const now = clock.now();
  const shown = timeOfDay(now, page.screen.offset ?? 0);
  const whose = page.screen.ownTime
    ? html`<small>${page.word("ownTime")}</small> `
    : html`<span class="vh">${page.word("kitchenTime", "")}</span>`;
  return html`<time class="clock" datetime=${machineTime(now, page.screen.offset ?? 0)}>${whose}${shown}</time>`;
}

/** @param {Page} page */
export function top(page) {
  const { screen } = page;
  const left = screen.back
    ? html`<a class="back" href=${screen.back.to} data-back>${back()}<span>${screen.back.label}</span></a>`
    : html`<h1 tabindex="-1" data-heading>${screen.title}</h1>`;
  return html`<header class="top">${left}${timeNow(page)}</header>`;
}

/** Whether entries are only on this phone. @param {any} it */
const out = (it) => it.in === "phone" && Boolean(it.since || it.waiting);

/** The two standing facts. @param {Page} page */
export function standing(page) {
  const { screen } = page;
  const kept = screen.saved ?? { in: "new", text: "" };
  return html`<p class="standing" role="status" data-saved=${kept.in} data-link=${out(kept) ? "out" : nothing}>
    ${kept.text ? html`<span>${kept.in === "kitchen" ? saved() : waiting()}${kept.text}</span>` : nothing}
    ${screen.bell ? html`<span>${bell(!screen.bell.can)}${screen.bell.text}</span>` : nothing}</p>`;
}

/** Why this device cannot ring, and the one thing to do about it. @param {Page} page */
export function cannotRing(page) {
  const it = page.cannot;
  if (!it) return nothing;
  return html`<section class="sheet cannot" ?data-gone=${it.gone} ?inert=${it.gone} aria-labelledby="cannot-ring"><h2 id="cannot-ring" class="flag">${bell(true)}<span>${it.title}</span></h2>
    ${(it.lines ?? []).map((/** @type {string} */ text) => html`<p>${text}</p>`)}${it.action ? button(it.action, page) : nothing}</section>`;
}

const homes = /** @type {[string, string][]} */ ([
  ["line", "/"],
  ["hold", "/hold"],
  ["plan", "/plan"],
  ["more", "/more"],
]);

/** @param {Page} page */
export function places(page) {
  const here = page.screen.place;
  if (!here) return nothing;
  return html`<nav class="places" aria-label=${page.word("places")}>${homes.map(
    ([name, to]) =>
      html`<a href=${(page.screen.practice?.under ?? "") + to} aria-current=${name === here ? "page" : nothing}>${page.word(name)}</a>`,
  )}</nav>`;
}
