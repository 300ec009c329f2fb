// A refusal: the number, how far out, which limit, what to do.
import { html } from "lit-html";
import { buttons } from "./button.js";
import { swatch } from "./icons.js";

/** @typedef {import("./page.js").Page} Page */

/** @param {Page} page */
export function refusal(page) {
  const it = page.screen.refusal;
  if (!it || page.dismissed === JSON.stringify(it)) return "";
  const lines = it.lines ?? [];
  return html`<section class="refusal" data-part="refusal" role="alert"><div class="off"><h2 tabindex="-1" id="refusal">${swatch("past")}<span>${it.title}</span></h2>
    ${lines.map((/** @type {string} */ text, /** @type {number} */ i) => html`<p>${i === lines.length - 1 && i > 0 ? html`<b>${text}</b>` : text}</p>`)}
    ${buttons(it.actions, page)}<button type="button" class="act quiet" @click=${() => page.dismiss()}>${page.word("goBack")}</button></div></section>`;
}
