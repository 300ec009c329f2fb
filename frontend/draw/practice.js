// What stands on every screen of practice: the word across it, and what stops, slows and ends its time.
import { html, nothing } from "lit-html";
import { button } from "./button.js";

/** @typedef {import("./page.js").Page} Page */

const times = 6; // the word, so that it reaches across any phone; what is too much is cut off

/** The word lies over sheets and rings too. @param {Page} page */
export function band(page) {
  const { practice } = page.screen;
  if (!practice) return nothing;
  return html`<aside class="pretend" data-part="practice" aria-label=${practice.word}><b>${practice.word}</b>${Array.from({ length: times }, () => html`<b aria-hidden="true">${practice.word}</b>`)}</aside>`;
}

/** @param {Page} page */
export function pacing(page) {
  const { practice } = page.screen;
  if (!practice?.actions?.length) return nothing;
  return html`<aside class="pacing" aria-label=${page.word("practice_time")}>${practice.actions.map((/** @type {import("./button.js").Button} */ it) => button(it, page))}</aside>`;
}
