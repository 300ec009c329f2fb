// A number typed on the screen itself, and a field of text: both are drafts in the address.
import { html, nothing } from "lit-html";
import { tick } from "./icons.js";
import { display, keys, padKey, pressed, typesItself } from "./keypad.js";
import { written } from "./lengths.js";
import { line } from "./runs.js";

/**
 * @typedef {import("./page.js").Page} Page
 * @typedef {{name: string, label?: string, text: string, unit?: string, limit?: any, verdict?: any, bad?: 1, whole?: 1, signed?: 1}} Pad
 */

/** The pad whose keys are shown: the last one touched, at first the first. @param {Page} page */
export function padInUse(page) {
  const all = page.screen.parts.filter((/** @type {any} */ part) => part.p === "pad");
  return all.find((/** @type {any} */ part) => part.name === page.padName) ?? all[0];
}

/** @param {Pad} it @param {Page} page */
export function pad(it, page) {
  const text = page.drafts.text(it.name, it.text);
  const labelId = `pad-${it.name}`;
  const label = it.label ?? page.screen.title;
  if (padInUse(page) !== it) {
    const shown = text ? written(text, page.word("decimal")) : "–";
    return html`<section class="sheet tight"><button type="button" class="act quiet" data-pad=${it.name} @click=${() => page.usePad(it.name)}><span>${label}</span> <small>${shown}\u00a0${it.unit}</small></button></section>`;
  }
  return html`<section class="sheet tight" data-pad=${it.name} aria-labelledby=${labelId}><p id=${labelId} class=${it.label ? "" : "vh"}>${label}</p>
    ${display({ text, unit: it.unit, limit: it.limit ? line(it.limit) : undefined, bad: Boolean(it.bad), labelledby: labelId, word: page.word })}
    ${keys({ whole: Boolean(it.whole), signed: Boolean(it.signed), word: page.word, press: (key) => type(it, key, page) })}
    ${verdict(it)}</section>`;
}

/**
 * What the core says of a number while it is typed.
 * @param {{verdict?: any, bad?: any}} it
 * @param {boolean} [always] keeps its place while there is nothing to say, so that no button moves under the finger
 */
export function verdict(it, always = false) {
  const said = it.verdict?.length;
  if (!said && !always) return nothing;
  return html`<p class=${it.bad ? "okline bad" : "okline"} role="status">${!said || it.bad ? nothing : tick()}<span>${said ? line(it.verdict) : "\u00a0"}</span></p>`;
}

/** @param {Pad} it @param {string} key @param {Page} page */
function type(it, key, page) {
  page.hands.buzz?.();
  const text = pressed(page.drafts.text(it.name, it.text), key, { whole: Boolean(it.whole), signed: Boolean(it.signed) });
  page.drafts.type(it.name, text, page);
}

/** Keys of the keyboard go to the pad in use, wherever the focus is. @param {KeyboardEvent} event @param {Page} page */
export function typeOnPad(event, page) {
  const it = padInUse(page);
  const key = padKey(event);
  if (!it || !key || typesItself(event.target)) return;
  event.preventDefault();
  type(it, key, page);
}

/** @param {{name: string, label: string, text: string, kind?: string}} it @param {Page} page */
export function field(it, page) {
  const id = `field-${it.name}`;
  const typed = (/** @type {InputEvent} */ event) => page.drafts.type(it.name, /** @type {HTMLInputElement} */ (event.target).value, page);
  return html`<section class="sheet tight"><label for=${id}>${it.label}</label>
    <input id=${id} class="field" type=${it.kind ?? "text"} autocomplete="off" autocapitalize="off" spellcheck="false" enterkeyhint="done" .value=${page.drafts.text(it.name, it.text)} @input=${typed} /></section>`;
}
