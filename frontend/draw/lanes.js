// Rows of time on one scale: what is to be started, and basket by basket what is dropped when. Places are thousandths of the width.
import { html, nothing, svg } from "lit-html";
import { button } from "./button.js";
import { line } from "./runs.js";

/**
 * @typedef {import("./page.js").Page} Page
 * @typedef {{k: string, x: number, w: number}} Box
 * @typedef {{x: number, t: string, k?: string, end?: number, b?: number}} Mark
 * @typedef {{key: string, to?: string, name: string, pre?: string, right?: string, what?: any, boxes: Box[], marks?: Mark[], aria?: string, actions?: any[]}} Lane
 */

const pct = (/** @type {number} */ n) => `${n / 10}%`;
/** Top and height of each kind of box, in px. @type {Record<string, [number, number]>} */
const shapes = { cook: [4, 26], stage: [12, 18], hold: [18, 12], ready: [12, 22], soon: [24, 10], best: [8, 26] };

/** @param {Box} it */
function box({ k, x, w }) {
  if (k === "grid" || k === "boat") return svg`<line class=${`l-${k}`} x1=${pct(x)} x2=${pct(x)} y1="0" y2=${k === "boat" ? 38 : 34} />`;
  const [y, height] = shapes[k] ?? [18, 12];
  const fill = k === "ready" || k === "stage" ? "url(#p-ready)" : nothing;
  return svg`<rect class=${`l-${k}`} x=${pct(x)} width=${pct(Math.max(w, 4))} y=${y} height=${height} fill=${fill} />`;
}

/** Words under a scale stay within it. @param {Mark} it */
const anchor = ({ x, end }) => (end ? "end" : x > 925 ? "end" : x < 75 ? "start" : "middle");

/** @param {Mark} it @param {number} y */
const mark = (it, y) =>
  svg`<text x=${pct(it.x)} y=${y} text-anchor=${it.k === "start" ? "start" : anchor(it)} font-weight=${it.b ? "700" : nothing}>${it.t}</text>`;

/** @param {Lane} it */
const drawing = (it) =>
  html`<svg class="lane" height=${it.marks?.length ? 58 : 38} role="img" aria-label=${it.aria ?? ""}>${it.boxes.map(box)}${(it.marks ?? []).map((one) => mark(one, 54))}</svg>`;

/** @param {Lane} it */
const head = (it) =>
  html`<div class="head"><h3 class="name">${it.name}</h3>${it.right ? html`<p class="left">${it.pre ? html`<small>${it.pre}</small> ` : nothing}${it.right}</p>` : nothing}</div>`;

/** @param {Lane} it @param {Page} page */
function strip(it, page) {
  const face = html`${head(it)}${it.what?.length ? html`<p class="what">${line(it.what)}</p>` : nothing}${drawing(it)}`;
  return html`<li data-key=${it.key}><article class="strip">${it.to ? html`<a class="face" href=${it.to}>${face}</a>` : html`<div class="face">${face}</div>`}
    <div class="hand">${(it.actions ?? []).map((one) => button(one, page, { of: it.name }))}</div></article></li>`;
}

/** @param {Lane} it */
const drop = (it) =>
  html`<li data-key=${it.key}><a class="droprow" href=${it.to ?? ""}><div class="head"><p><b>${it.name}</b></p><p>${it.right}</p></div>${drawing(it)}</a></li>`;

/** @param {Mark} it */
function legend({ k = "", t }) {
  const height = { cook: 18, stage: 14 }[k] ?? 10;
  const fill = k === "stage" ? "url(#p-ready)" : nothing;
  return html`<span class="flag"><svg aria-hidden="true" width="28" height="20"><rect class=${`l-${k}`} x="1" width="26" y=${19 - height} height=${height} fill=${fill} /></svg>${t}</span>`;
}

/** @param {{title?: string, drops?: number, axis?: Mark[], rows: Lane[], legend?: Mark[], foot?: string[]}} it @param {Page} page */
export function lanes(it, page) {
  if (!it.drops) return html`<ol class="line">${it.rows.map((row) => strip(row, page))}</ol>`;
  return html`<section class="sheet lanes" aria-label=${it.title ?? nothing}>
    ${it.axis?.length ? html`<svg class="lane axis" height="22" aria-hidden="true">${it.axis.map((one) => mark({ ...one, k: "" }, 16))}</svg>` : nothing}
    <ol>${it.rows.map(drop)}</ol>${(it.foot ?? []).map((text) => html`<p class="meta">${text}</p>`)}
    ${it.legend?.length ? html`<p class="meta legend">${it.legend.map(legend)}</p>` : nothing}</section>`;
}

/** @param {{title?: string, lines?: string[]}} it */
export const sentences = (it) =>
  html`<section class="sheet">${it.title ? html`<h2>${it.title}</h2>` : nothing}<ul class="sentences">${(it.lines ?? []).map((text) => html`<li>${text}</li>`)}</ul></section>`;

/** @param {{rows: {label: string, to: string, on?: number}[]}} it */
export const tabs = (it) =>
  html`<nav class="tabs">${it.rows.map((row) => html`<a href=${row.to} aria-current=${row.on ? "page" : nothing}>${row.label}</a>`)}</nav>`;
