// Steps of a stage or a list: done ones in one line, the current one large with its caution before it, the rest to come.
import { html, nothing } from "lit-html";
import { buttons } from "./button.js";
import { hazard, onward, tick } from "./icons.js";
import { picture } from "./picture.js";
import { heading } from "./strip.js";

/**
 * @typedef {import("./page.js").Page} Page
 * @typedef {{title: string, lines?: string[], aid?: string}} Caution
 * @typedef {{key: string, state: "done" | "now" | "todo", n: number, of: number, text: string, how?: string, why?: string, ifnot?: string,
 *   caution?: Caution, done?: string, photo?: string, actions?: any[], limit?: string}} Step
 */

/** @param {Caution | undefined} it @param {Page} page */
export function cautionBox(it, page) {
  if (!it) return nothing;
  return html`<section class="caution" role="note" aria-label=${`${page.word("caution")}: ${it.title}`}><p class="title">${hazard()}<b>${it.title}</b></p>${
    it.lines?.length ? html`<ul>${it.lines.map((text) => html`<li>${text}</li>`)}</ul>` : nothing
  }${it.aid ? html`<a class="aid" href="/firstaid" data-to="/firstaid">${it.aid}${onward()}</a>` : nothing}</section>`;
}

/** @param {Step} it @param {Page} page */
const done = (it, page) =>
  html`<li class="done" data-key=${it.key}><span class="no">${tick()}</span><p>${it.text} <span class="vh">${page.word("done")}</span> <span class="meta">${it.done}</span></p>${it.photo ? picture(it.photo, it.text, page) : nothing}${buttons(it.actions, page)}</li>`;

/** @param {Step} it @param {Page} page */
const todo = (it, page) =>
  html`<li data-key=${it.key}><span class="no">${it.n}</span><p>${it.text}${it.limit ? html`: <span class="n">${it.limit}</span>` : nothing}</p>${buttons(it.actions, page)}</li>`;

/** @param {Step} it @param {Page} page */
function more(it, page) {
  if (!it.why && !it.ifnot) return nothing;
  const heads = html`${it.why ? html`<p><b>${page.word("why")}</b><br />${it.why}</p>` : nothing}${it.ifnot ? html`<p><b>${page.word("ifNot")}</b><br />${it.ifnot}</p>` : nothing}`;
  return html`<details class="why"><summary>${page.word(it.why && it.ifnot ? "whyAndIfNot" : it.why ? "why" : "ifNot")}</summary>${heads}</details>`;
}

/** @param {Step} it @param {Page} page @param {number} level */
function now(it, page, level) {
  return html`<li class="now" tabindex="-1" aria-current="step" data-key=${it.key}>${heading(it.text, level)}
    ${it.limit ? html`<p class="limit">${it.limit}</p>` : nothing}
    ${cautionBox(it.caution, page)}${it.how ? html`<p class="how">${it.how}</p>` : nothing}
    ${buttons(it.actions, page)}${more(it, page)}</li>`;
}

const kinds = { done, now, todo };

/** @param {Step} it @param {Page} page @param {number} level of the current step as a heading */
export const step = (it, page, level) => (kinds[it.state] ?? todo)(it, page, level);
