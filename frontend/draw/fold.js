// What is there for whoever opens it. It stays open for as long as the page lives, whatever is looked at meanwhile.
import { html, nothing } from "lit-html";

const opened = /** @type {Set<string>} */ (new Set());

/** @param {{key: string, title: string, note?: string, parts: any[]}} it @param {(part: any) => any} drawn */
export function fold(it, drawn) {
  const keep = (/** @type {Event} */ { target }) =>
    /** @type {HTMLDetailsElement} */ (target).open ? opened.add(it.key) : opened.delete(it.key);
  return html`<details class="fold" ?open=${opened.has(it.key)} @toggle=${keep}><summary><h2><span>${it.title}</span> ${it.note ? html`<small>${it.note}</small>` : nothing}</h2></summary>${it.parts.map(drawn)}</details>`;
}
