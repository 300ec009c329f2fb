// A probe's file: chosen here, handed to the core as it is, which says what it makes of it.
import { html } from "lit-html";

/** @typedef {import("./page.js").Page} Page */

/** @param {{label: string, text: string}} it @param {Page} page */
export const logfile = (it, page) => {
  const taken = (/** @type {Event} */ event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const file = input.files?.[0];
    if (file) page.hands.log?.(file);
    input.value = ""; // the same file, put right meanwhile, can be chosen again
  };
  return html`<section class="sheet ask"><label class="act quiet camera"><span>${it.label}</span><input type="file" accept=".csv,text/csv,text/plain" @change=${taken} /></label>
    <p class="what" role="status">${it.text}</p></section>`;
};
