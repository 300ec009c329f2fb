// A ring takes the whole screen: which vessel, what to do, how long, the caution, and one large answer within the
// thumb's reach. Focus starts on the heading, so that a stray key silences nothing.
import { html, nothing, svg } from "lit-html";
import { carryOut } from "./button.js";
import { ticking } from "./countdown.js";
import { line } from "./runs.js";
import { cautionBox } from "./steps.js";

/** @typedef {import("./page.js").Page} Page */

/** The stripe on top: the one thing that moves. */
export const stripe = () =>
  html`<svg class="band" aria-hidden="true">${svg`<defs><pattern id="p-band" width="32" height="32" patternUnits="userSpaceOnUse"><path d="M-8 40 40 -8M-24 24 24 -24M8 56 56 8" stroke="currentColor" stroke-width="11" /></pattern></defs>
<rect class="slide" x="-32" width="110%" height="32" fill="url(#p-band)" />`}</svg>`;

/** @param {string} text "Tray B: past limit" */
function alsoRow(text) {
  const at = text.indexOf(":");
  return at < 0 ? html`<p>${text}</p>` : html`<p><b>${text.slice(0, at + 1)}</b>${text.slice(at + 1)}</p>`;
}

/** @param {import("./button.js").Button} it @param {Page} page @param {string} classes */
const answer = (it, page, classes) =>
  html`<button type="button" class=${classes} data-do=${it.do?.do ?? nothing} @click=${() => page.answerRing(() => carryOut(it, page))}>${it.label}</button>`;

/** @param {Page} page */
export function takeover(page) {
  const it = page.screen.ring;
  return html`<div class="ring" data-part="ring" data-state=${it.state ?? "none"} data-level=${it.level} role="alertdialog" aria-modal="true" aria-labelledby="ring-name" aria-describedby="ring-deed">
    ${stripe()}
    <div class="say">${it.count ? html`<p class="count">${it.count}</p>` : nothing}<h1 id="ring-name" tabindex="-1">${it.name}</h1><p class="deed" id="ring-deed">${it.deed}</p>
      ${it.late ? html`<p class="late"><b>${it.late}</b></p>` : nothing}
      ${it.left ? html`<p class="when" ${ticking(it.left)}></p>` : nothing}
      ${it.sub?.length ? html`<p class="subline">${line(it.sub)}</p>` : nothing}
      ${cautionBox(it.caution, page)}</div>
    ${it.also?.length ? html`<div class="also">${it.also.map(alsoRow)}</div>` : nothing}
    <div class="acts">${answer(it.got, page, "act got")}<p class="says">${it.note}</p>${it.steps ? answer(it.steps, page, "act quiet") : nothing}</div></div>`;
}

/** A ring that was put aside with Back goes on ringing, and says so. @param {Page} page */
export const ringBar = (page) =>
  html`<button type="button" class="ringbar" data-part="ringbar" data-state=${page.screen.ring.state ?? "none"} @click=${() => page.showRing()}><b>${page.word("ringsStill", page.screen.ring.name)}</b> <span>${page.word("openRing")}</span></button>`;
