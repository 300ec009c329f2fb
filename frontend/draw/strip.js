// A strip: one vessel, list or timer on the line, with its rail and its one next action.
import { html, nothing } from "lit-html";
import { button } from "./button.js";
import { ticking } from "./countdown.js";
import { hazard, swatch } from "./icons.js";
import { onRail } from "./rail.js";
import { line } from "./runs.js";

/**
 * @typedef {import("./button.js").Button} Button
 * @typedef {import("./page.js").Page} Page
 * @typedef {{key: string, to?: string, state?: string, name: string, left?: any, amount?: {n: string, unit: string}, word?: string,
 *   sub?: any, rail?: any, cue?: string, deed?: string, detail?: any, small?: 1, row?: 1, actions?: Button[]}} Strip
 */

/** The number at the right of a name: the minutes, or how much there is. @param {{left?: any, amount?: {n: string, unit: string}}} it */
export function figure(it) {
  if (it.left) return html`<p class=${it.left.pre ? "left led" : "left"} ${ticking(it.left)}></p>`;
  return it.amount ? html`<p class="left"><span class="n">${it.amount.n}</span> <small>${it.amount.unit}</small></p>` : nothing;
}

/** The state in words, after the piece of rail that stands for it. @param {{state?: string, word?: string, sub?: any}} it */
export function stateWord(it) {
  if (!it.word && !it.sub?.length) return nothing;
  return html`<p class="word">${swatch(it.state ?? "none")}${it.word ? html`<strong>${it.word}</strong>` : nothing}${it.sub?.length ? html`<span>${line(it.sub)}</span>` : nothing}</p>`;
}

/** @param {any} rail @param {{size: number, offset?: number, wall?: boolean}} how */
export const railOf = (rail, how) =>
  rail
    ? html`<svg class="rail" height=${40 * how.size} role="img" aria-label=${rail.aria} ${onRail(rail, how)}></svg>${rail.labels ? html`<p class="railtext" aria-hidden="true">${rail.aria}</p>` : nothing}`
    : nothing;

/** @param {string | undefined} cue */
export const caution = (cue) => (cue ? html`<p class="cue">${hazard()}<span>${cue}</span></p>` : nothing);

/** A name is a heading of its own under the group's, or where there is no group under the screen's. @param {string} name @param {number} level */
export const heading = (name, level) => (level === 2 ? html`<h2 class="name">${name}</h2>` : html`<h3 class="name">${name}</h3>`);

/** @param {Strip} it @param {number} level */
const face = (it, level) =>
  html`<div class="head">${heading(it.name, level)}${figure(it)}</div>${stateWord(it)}${
    it.detail?.length ? html`<p class="what">${line(it.detail)}</p>` : nothing
  }${railOf(it.rail, { size: it.small ? 0.7 : 1 })}`;

/** @param {Strip} it @param {Page} page */
function actions(it, page) {
  if (!it.actions?.length) return nothing;
  const all = it.actions.map((one) => button(one, page, { of: it.row ? it.name : undefined }));
  return it.row ? html`<div class="abreast">${all}</div>` : all;
}

/**
 * One strip. Its face is one link to what it shows; cautions and actions stand below, outside of the link.
 * @param {Strip} it @param {Page} page @param {boolean} gone done or moved away a moment ago: kept in its place until the hand has left
 * @param {number} level of its name as a heading
 */
export function strip(it, page, gone, level) {
  const bare = !it.actions?.length && !it.cue;
  const body = it.to ? html`<a class="face" href=${it.to}>${face(it, level)}</a>` : html`<div class="face">${face(it, level)}</div>`;
  return html`<li data-key=${it.key} ?inert=${gone}><article class=${`strip${it.small ? " small" : ""}${bare ? " bare" : ""}${gone ? " gone" : ""}`} data-state=${it.state ?? "none"}>
    ${body}${bare ? nothing : html`<div class="hand">${caution(it.cue)}${actions(it, page)}</div>`}</article></li>`;
}
