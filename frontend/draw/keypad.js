// Our own number pad: keys of 56 px and more, the same from a keyboard, never the system's. It only edits a text.
import { html, nothing } from "lit-html";
import { written } from "./lengths.js";

const longest = 9;

/**
 * The text after one key. Keys: a digit, ".", "-" (turns the sign), "erase".
 * @param {string} text
 * @param {string} key
 * @param {{whole?: boolean, signed?: boolean}} [how]
 */
export function pressed(text, key, how = {}) {
  if (key === "erase") return text.slice(0, -1);
  if (key === "-") return how.signed ? (text.startsWith("-") ? text.slice(1) : `-${text}`) : text;
  if (text.length >= longest) return text;
  if (key === ".") return how.whole || text.includes(".") ? text : `${/\d/.test(text) ? text : `${text}0`}.`;
  return /^-?0$/.test(text) ? text.slice(0, -1) + key : text + key;
}

/** The key of the pad that a key of the keyboard stands for. @param {KeyboardEvent} event */
export function padKey(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return null;
  if (/^[0-9]$/.test(event.key)) return event.key;
  if (event.key === "." || event.key === ",") return ".";
  if (event.key === "-") return "-";
  return event.key === "Backspace" || event.key === "Delete" ? "erase" : null;
}

/** Whether a key typed here belongs to the thing that has the focus, not to the pad. @param {EventTarget | null} target */
export const typesItself = (target) => target instanceof Element && target.matches("input:not([type=radio]), textarea, select");

const SHORT = 4; // letters of a unit that is a sign; a longer one is a word, and gives way to the number

/** @param {string} [text] */
const unit = (text = "") => (text.length > SHORT ? html` <small>${text}</small>` : text && `\u00a0${text}`);

/**
 * The typed number with its unit and, to the right, its limit.
 * @param {{text: string, unit?: string, limit?: any, bad?: boolean, labelledby: string, word: (key: string, ...fill: any[]) => string}} it
 */
export function display(it) {
  const number = it.text
    ? written(it.text, it.word("decimal"))
    : html`<span aria-hidden="true">–</span><span class="vh">${it.word("nothingYet")}</span>`;
  return html`<div class="reading" ?data-bad=${it.bad}><output aria-labelledby=${it.labelledby}><span class="n">${number}${unit(it.unit)}</span></output>${
    it.limit ? html`<p class="lim">${it.limit}</p>` : nothing
  }</div>`;
}

/**
 * @param {{whole?: boolean, signed?: boolean, word: (key: string, ...fill: any[]) => string, press: (key: string) => void}} it
 */
export function keys(it) {
  const digit = (/** @type {string} */ d) => html`<button type="button" data-key-of-pad=${d} @click=${() => it.press(d)}>${d}</button>`;
  const erase = (/** @type {string} */ extra) =>
    html`<button type="button" class=${`w ${extra}`} @click=${() => it.press("erase")}>${it.word("erase")}</button>`;
  const sign = html`<button type="button" aria-label=${it.word("minus")} @click=${() => it.press("-")}>±</button>`;
  const point = html`<button type="button" aria-label=${it.word("point")} @click=${() => it.press(".")}>${it.word("decimal")}</button>`;
  return html`<div class="pad" role="group" aria-label=${it.word("pad")}>${[..."123456789"].map(digit)}${it.whole ? (it.signed ? sign : nothing) : point}${digit("0")}${
    it.signed && !it.whole ? html`${sign}${erase("span3")}` : erase(it.whole && !it.signed ? "span2" : "")
  }</div>`;
}
