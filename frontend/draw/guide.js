// The step of somebody who learns, one at a time and large; and what a trainer finds on another screen.
import { html, nothing } from "lit-html";
import { button, buttons } from "./button.js";
import { drawing } from "./drawings.js";
import { picture } from "./picture.js";
import { caution } from "./strip.js";

/**
 * @typedef {import("./page.js").Page} Page
 * @typedef {{key: string, text: string, limit?: string, cue?: string, how?: string, why?: string, ifnot?: string, photo?: string, taken?: string, say?: string,
 *   drawing?: {name: string, alt: string, lines?: string[]}, actions?: import("./button.js").Button[]}} Guided
 */

/** Says a text aloud, where this device has a voice for it. @param {string | undefined} text @param {Page} page */
function aloud(text, page) {
  if (!text || !page.hands.bell?.state?.().voice) return nothing;
  return html`<button type="button" class="act quiet slim" data-do="say" @click=${() => page.hands.bell?.say?.(text, true)}>${page.word("speak")}</button>`;
}

/** @param {string} head @param {string | undefined} text */
const passage = (head, text) => (text ? html`<p class="passage"><b>${head}</b><br />${text}</p>` : nothing);

/** @param {string | undefined} text */
const how = (text) => (text ? html`<p class="passage">${text}</p>` : nothing);

/** @param {Guided} it @param {Page} page */
export function guided(it, page) {
  return html`<section class="sheet guided" data-key=${it.key}>${it.text ? html`<h2 class="big">${it.text}</h2>` : nothing}${it.limit ? html`<p class="limit">${it.limit}</p>` : nothing}
    ${caution(it.cue)}${drawing(it.drawing)}${it.text ? how(it.how) : passage(page.word("how"), it.how)}
    ${buttons(it.actions, page)}${aloud(it.say, page)}
    ${passage(page.word("why"), it.why)}${passage(page.word("ifNot"), it.ifnot)}
    ${it.photo ? html`<div class="kept">${picture(it.photo, it.text, page)}<p class="meta">${it.taken}</p></div>` : nothing}</section>`;
}

/** @param {{say: string}} it @param {Page} page */
export function spoken(it, page) {
  const said = aloud(it.say, page);
  return said === nothing ? nothing : html`<section class="sheet tight">${said}</section>`;
}

/** @param {{number: string, text: string}} it */
export const matching = (it) =>
  html`<section class="sheet matching" role="status"><p class="number">${it.number}</p><p>${it.text}</p></section>`;

/** Says on the frame of guided work that it is real, and who leads whom. @param {Page} page */
export function ledBand(page) {
  const { led } = page.screen;
  return led ? html`<aside class="leading"><b>${led.text}</b><span>${led.who}</span></aside>` : nothing;
}

/** How far somebody has come; the words beside it say the same. @param {{n: number, of: number}} it */
export const track = (it) =>
  html`<p class="track" aria-hidden="true">${Array.from({ length: it.of }, (_, i) => html`<i class=${i + 1 < it.n ? "done" : i + 1 === it.n ? "here" : ""}></i>`)}</p>`;

/** @param {{actions: import("./button.js").Button[]}} it @param {Page} page */
export const matches = (it, page) =>
  html`<section class="sheet tight matches">${it.actions.map((one) => button(one, page, { extra: "number" }))}</section>`;
