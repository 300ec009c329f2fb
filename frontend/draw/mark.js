// Date marks and other codes: large to be written on tape, and as a label of 50 by 30 mm for the printer.
import { html, nothing, svg } from "lit-html";

/** @typedef {import("./page.js").Page} Page */

const quiet = 4; // modules of white around a code: the QR standard's own margin

/** @type {Map<string, {size: number, path: string} | null>} */
const codes = new Map();

/** The code of a text, once its chunk is here; the page is drawn again then. @param {string} text @param {Page} page */
function codeOf(text, page) {
  if (!codes.has(text)) {
    codes.set(text, null);
    import("./qrcode.js").then(
      ({ code }) => {
        codes.set(text, code(text));
        page.redraw();
      },
      () => codes.delete(text),
    );
  }
  return codes.get(text);
}

/** @param {string} text @param {string} label @param {Page} page */
export function qr(text, label, page) {
  const it = codeOf(text, page);
  const side = (it?.size ?? 21) + 2 * quiet;
  const box = `${-quiet} ${-quiet} ${side} ${side}`;
  return html`<svg class="qr" viewBox=${box} role="img" aria-label=${label} ?data-ready=${it}>${
    it ? svg`<path fill="#000" shape-rendering="crispEdges" d=${it.path} />` : nothing
  }</svg>`;
}

/** A label has room for so many letters: more of them are set smaller, never cut. @param {any} it */
function crowding(it) {
  const letters = Math.max(`${it.lots}  ${it.code}  ${it.allergens ?? ""}`.length, it.made.length);
  return letters <= 37 ? "" : letters <= 45 ? "small" : "smallest";
}

/** @param {any} it @param {Page} page @param {boolean} spoken read out by a screen reader: one of the two is enough */
const label = (
  it,
  page,
  spoken,
) => html`<div class="label" aria-hidden=${spoken ? nothing : "true"}><p class=${it.name.length > 21 ? "item long" : "item"}>${it.name}</p><p class=${it.kind.length > 23 ? "state long" : "state"}>${it.kind}</p>
  <p class="ub">${it.useLabel}</p><p class=${it.date.length > 15 ? "day long" : "day"}>${it.date}</p><p class="by">${it.time}</p>
  <p class=${`rest ${crowding(it)}`}>${it.made}<br />${it.lots} <b>${it.code}</b>${it.allergens ? html` <b>${it.allergens}</b>` : nothing}</p>${qr(it.qr, page.word("code", it.code), page)}</div>`;

/** @param {any} it @param {Page} page */
export const mark = (it, page) => html`<section class="sheet preview">
  <div class="zoom noprint">${label(it, page, true)}</div>
  <p class="noprint bigcode"><span class="meta">${page.word("code", "")}</span> <b>${it.code}</b></p>
  <p class="noprint meta">${page.word("trueSize")}</p>
  <div class="labelwrap"><div class="truesize">${label(it, page, false)}</div></div>
  <button type="button" class="act noprint" data-do="print" @click=${() => page.ownAction("print")}>${page.word("printLabel")}</button></section>`;

/** @param {{text: string, caption?: string}} it @param {Page} page */
export const qrPart = (it, page) =>
  html`<section class="sheet scan">${qr(it.text, page.word("scanCode", it.text), page)}${it.caption ? html`<p>${it.caption}</p>` : nothing}</section>`;
