// The plain parts of a screen: heads of groups, notes, pairs, choices, history, ancestry, faults.
import { html, nothing } from "lit-html";
import { button, buttons, press } from "./button.js";
import { mark, onward, swatch, tick } from "./icons.js";
import { picture } from "./picture.js";
import { line } from "./runs.js";
import { figure, railOf, stateWord } from "./strip.js";

/** @typedef {import("./page.js").Page} Page */

/** @param {{title: string, note?: string}} it */
export const group = (it) => html`<h2 class="group"><span>${it.title}</span>${it.note ? html` <small>${it.note}</small>` : nothing}</h2>`;

/** @param {{line: any, tone?: string}} it */
export const note = (it) =>
  html`<p class=${`note ${it.tone ?? "plain"}`}>${it.tone === "bad" ? swatch("past") : nothing}<span>${line(it.line)}</span></p>`;

/** @param {{title: string, line?: any, actions?: any[]}} it @param {Page} page */
export const empty = (it, page) =>
  html`<section class="sheet"><h2>${it.title}</h2>${it.line?.length ? html`<p>${line(it.line)}</p>` : nothing}${buttons(it.actions, page)}</section>`;

/**
 * The head of an open batch.
 * @param {any} it @param {Page} page @param {boolean} first it names the screen
 */
export function head(it, page, first) {
  const name = first
    ? html`<h1 class=${it.name.length > 12 ? "long" : ""} tabindex="-1" data-heading>${it.name}</h1>`
    : html`<h2>${it.name}</h2>`;
  return html`<section class="sheet tight" data-state=${it.state ?? "none"}><div class=${first ? "bighead" : "bighead lesser"}>${name}${figure(it)}</div>
    ${stateWord(it)}${railOf(it.rail, { size: first ? 1.1 : 1.2, offset: page.screen.offset })}
    ${it.detail?.length ? html`<p class="what">${line(it.detail)}</p>` : nothing}</section>`;
}

/** @param {{title?: string, rows: {k: string, v: any}[]}} it */
export const pairs = (it) => html`<section class="sheet">${it.title ? html`<h2>${it.title}</h2>` : nothing}
  <dl class="kv">${it.rows.map((row) => html`<div><dt>${row.k}</dt><dd>${line(row.v)}</dd></div>`)}</dl></section>`;

/** How somebody stands with each piece of work: the words beside say how many stand how. @param {string[] | undefined} list */
const marks = (list) => (list ? html`<span class="marks">${list.map((kind) => mark(kind))}</span>` : nothing);

/** @param {any} row */
const rowWords = (row) =>
  html`${row.on ? tick() : nothing}${row.state && row.state !== "none" ? swatch(row.state) : nothing}<span class="words"><b>${row.label}</b>${row.word ? html` <span>${row.word}</span>` : nothing}${marks(row.marks)}${row.detail ? html`<small>${row.detail}</small>` : nothing}</span>`;

/** @param {any} row @param {Page} page */
function choiceRow(row, page) {
  if (row.to && !row.do && !row.ask && !row.sure) {
    return html`<li><a class="row" href=${row.to} data-to=${row.to} aria-current=${row.on ? "true" : nothing}>${rowWords(row)}${onward()}</a></li>`;
  }
  if (!row.do && !row.ask && !row.sure) return html`<li><div class="row still">${rowWords(row)}</div></li>`;
  return html`<li><button type="button" class="row" data-do=${row.do?.do ?? nothing} aria-pressed=${row.on === undefined ? nothing : "true"} @click=${() => press(row, page)}>${rowWords(row)}</button></li>`;
}

/** @param {{title?: string, short?: 1, rows: any[]}} it @param {Page} page */
export const choice = (it, page) =>
  html`<section class="sheet rows ${it.short ? "short" : ""}">${it.title ? html`<h2>${it.title}</h2>` : nothing}<ul class="rowlist">${it.rows.map((row) => choiceRow(row, page))}</ul></section>`;

/** @param {{actions: any[]}} it @param {Page} page */
export const buttonsPart = (it, page) => html`<section class="sheet tight">${buttons(it.actions, page)}</section>`;

/** @param {any} row @param {Page} page */
function event(row, page) {
  const text = row.struck
    ? html`<s>${row.text}</s> <span class="flag">${page.word(row.corrected ? "corrected" : "struck")}</span>`
    : row.text;
  return html`<li><p class="meta">${row.at}${row.who ? html`, ${row.who}` : nothing}</p><p>${text}${row.corrected && !row.struck ? html` <span class="flag">${page.word("corrected")}</span>` : nothing}</p>
    ${row.photo ? picture(row.photo, row.text, page) : nothing}
    ${(row.actions ?? []).map((/** @type {any} */ one) => button(one, page, { extra: "slim" }))}</li>`;
}

/** @param {{title?: string, rows: any[]}} it @param {Page} page */
export const history = (it, page) =>
  html`<section class="sheet">${it.title ? html`<h2>${it.title}</h2>` : nothing}<ol class="history">${it.rows.map((row) => event(row, page))}</ol></section>`;

/** @param {{title?: string, rows: {to: string, label: string, detail?: string}[]}} it @param {Page} page */
export const tree = (it, page) => choice(it, page);

/** @param {{title: string, lines?: string[], actions?: any[]}} it @param {Page} page */
export function fault(it, page) {
  const lines = it.lines ?? [];
  return html`<section class="off" role="alert"><h2>${swatch("past")}<span>${it.title}</span></h2>
    ${lines.map((text, i) => (i === lines.length - 1 && lines.length > 1 ? html`<p><b>${text}</b></p>` : html`<p>${text}</p>`))}${buttons(it.actions, page)}</section>`;
}
