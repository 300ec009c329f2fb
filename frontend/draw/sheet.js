// Sheets over the screen: a question that a button asks first, and the second tap of what cannot be undone.
import { html, nothing } from "lit-html";
import { answered, answerOf } from "./asked.js";
import { carryOut } from "./button.js";
import { withField } from "./drafts.js";
import { display, keys, padKey, pressed, typesItself } from "./keypad.js";
import { written } from "./lengths.js";
import { verdict } from "./pad.js";

/**
 * @typedef {import("./button.js").Button} Button
 * @typedef {import("./page.js").Page} Page
 * @typedef {{button: Button, text: string, trouble?: string}} Sheet
 */

/** @param {Sheet} sheet @param {Page} page */
export function sheet(sheet, page) {
  const { ask } = sheet.button;
  const body = ask ? (questions[ask.kind] ?? text)(sheet, page) : sure(sheet, page);
  return html`<div class="veil" data-part="sheet" @keydown=${(/** @type {KeyboardEvent} */ event) => keyed(event, sheet, page)}>
    <section class="sheet over" role="dialog" aria-modal="true" aria-labelledby="sheet-title">${body}
      <button type="button" class="act quiet" @click=${() => page.closeSheet()}>${page.word("goBack")}</button>
    </section></div>`;
}

/** @param {string | undefined} title */
const head = (title) => html`<h2 id="sheet-title" tabindex="-1">${title}</h2>`;

/** @param {Sheet} sheet @param {Page} page */
function sure({ button }, page) {
  const it = button.sure;
  const style = button.style === "stop" ? "act stop" : "act";
  return html`${head(it?.title)}${(it?.lines ?? []).map((line) => html`<p>${line}</p>`)}
    <button type="button" class=${style} data-do=${button.do?.do ?? nothing} @click=${() => finish({ ...button, sure: undefined }, page)}>${it?.label}</button>`;
}

/** @param {Sheet} sheet @param {Page} page */
function number(sheet, page) {
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  const unit = ask.unit && !ask.keep.includes(ask.unit) ? `\u00a0${ask.unit}` : "";
  const shown = sheet.text ? written(sheet.text, page.word("decimal")) + unit : "";
  const judged = judgement(sheet, page);
  return html`${head(ask.title)}
    ${display({ text: sheet.text, unit: ask.unit, limit: ask.limit, bad: Boolean(judged?.bad), labelledby: "sheet-title", word: page.word })}
    ${keys({ signed: Boolean(ask.signed), whole: Boolean(ask.whole), word: page.word, press: (key) => type(sheet, key, page) })}
    ${ask.draft ? verdict(judged ?? {}, true) : nothing}
    ${keep(sheet, page, ask.keep.replace("{0}", shown))}`;
}

/**
 * What the core says of the number on the sheet. The button of the sheet is as old as the sheet; the answer comes with a
 * later screen, and counts only if it is of what stands there now.
 * @param {Sheet} sheet @param {Page} page
 */
function judgement(sheet, page) {
  const name = sheet.button.ask?.draft?.name;
  if (!name || !sheet.text) return undefined;
  const acting = (/** @type {any[]} */ list) => list.flatMap((one) => one.actions ?? []);
  const parts = page.screen.parts ?? [];
  const all = [...acting(parts), ...acting(parts.flatMap((/** @type {any} */ part) => part.rows ?? []))];
  const drafts = all.map((/** @type {Button} */ one) => one.ask?.draft);
  return drafts.find((/** @type {any} */ one) => one?.name === name && one.text === sheet.text);
}

/** @param {Sheet} sheet @param {Page} page @param {string} label */
function keep(sheet, page, label) {
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  const ready = answerOf(ask, sheet.text) !== null;
  return html`<button type="button" class=${sheet.button.style === "stop" ? "act stop" : "act"} data-do=${sheet.button.do?.do ?? nothing} ?disabled=${!ready} @click=${() => answer(sheet, page)}>${label}</button>`;
}

/** @param {Sheet} sheet @param {Page} page */
function text(sheet, page) {
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  const typed = (/** @type {InputEvent} */ event) => page.retype(/** @type {HTMLTextAreaElement} */ (event.target).value);
  return html`${head(ask.title)}${ask.limit ? html`<p class="what">${ask.limit}</p>` : nothing}
    <textarea class="field" rows="3" aria-labelledby="sheet-title" .value=${sheet.text} @input=${typed}></textarea>
    ${keep(sheet, page, ask.keep.replace("{0}", ""))}`;
}

/** @param {Sheet} sheet @param {Page} page */
function choice(sheet, page) {
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  return html`${head(ask.title)}${ask.limit ? html`<p class="what">${ask.limit}</p>` : nothing}
    <ul class="choices">${(ask.choices ?? []).map(
      (one) =>
        html`<li><button type="button" class="act quiet" @click=${() => next(answered(sheet.button, one.value), page)}><span>${one.label}</span>${one.detail ? html` <small>${one.detail}</small>` : nothing}</button></li>`,
    )}</ul>`;
}

/** A picture from the camera. Where it cannot be taken or kept, the sheet says so and stays. @param {Sheet} sheet @param {Page} page */
function photo(sheet, page) {
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  const taken = async (/** @type {Event} */ event) => {
    const file = /** @type {HTMLInputElement} */ (event.target).files?.[0];
    if (!file) return;
    try {
      const hash = await page.hands.photo?.(file);
      if (page.sheet?.button === sheet.button) next(answered(sheet.button, hash), page);
    } catch (why) {
      if (page.sheet?.button !== sheet.button) return;
      const { word = "noPhoto", fill = [] } = /** @type {{word?: string, fill?: number[]}} */ (why ?? {});
      page.sheetTrouble(page.word(word, ...fill));
    }
  };
  return html`${head(ask.title)}${ask.limit ? html`<p class="what">${ask.limit}</p>` : nothing}
    ${sheet.trouble ? html`<p class="okline bad" role="alert">${sheet.trouble}</p>` : nothing}
    <label class="act camera"><span>${ask.keep}</span><input type="file" accept="image/*" capture="environment" @change=${taken} /></label>`;
}

/** A PIN: its digits are never shown, and never stand in an address. @param {Sheet} sheet @param {Page} page */
function pin(sheet, page) {
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  return html`${head(ask.title)}${ask.limit ? html`<p class="what">${ask.limit}</p>` : nothing}
    ${display({ text: "•".repeat(sheet.text.length), labelledby: "sheet-title", word: page.word })}
    ${keys({ signed: false, whole: true, word: page.word, press: (key) => typePin(sheet, key, page) })}
    ${keep(sheet, page, ask.keep)}`;
}

/** @param {Sheet} sheet @param {string} key @param {Page} page */
function typePin(sheet, key, page) {
  page.hands.buzz?.();
  if (key === "erase") page.retype(sheet.text.slice(0, -1));
  else if (/^\d$/.test(key) && sheet.text.length < pinMost) page.retype(sheet.text + key); // its first digit may be a zero
}

const pinMost = 8;

const questions = { number, text, choice, photo, pin };

/** @param {Sheet} sheet @param {string} key @param {Page} page */
function type(sheet, key, page) {
  page.hands.buzz?.();
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  const text = pressed(sheet.text, key, { signed: Boolean(ask.signed), whole: Boolean(ask.whole) });
  page.retype(text);
  // the sheet has an entry of its own in the browser's history, so what it writes into the address goes when it goes
  if (ask.draft) page.hands.draft(withField(page.screen.path, ask.draft.name, text));
}

/** @param {Sheet} sheet @param {Page} page */
function answer(sheet, page) {
  const ask = /** @type {import("./button.js").Ask} */ (sheet.button.ask);
  const value = answerOf(ask, sheet.text);
  if (value === null) return;
  // out of the address before it is handed over: a refusal stays only at the address where it was earned
  if (ask.draft) page.hands.draft(withField(page.screen.path, ask.draft.name, ""));
  next(answered(sheet.button, value), page);
}

/** On to the second tap where one is wanted, else to the deed. @param {Button} button @param {Page} page */
function next(button, page) {
  if (button.ask || button.sure) page.openSheet(button);
  else finish(button, page);
}

/** @param {Button} button @param {Page} page */
function finish(button, page) {
  page.closeSheet();
  carryOut(button, page);
}

/** @param {KeyboardEvent} event @param {Sheet} sheet @param {Page} page */
function keyed(event, sheet, page) {
  if (event.key === "Escape") return page.closeSheet();
  const kind = sheet.button.ask?.kind ?? "";
  if (!["number", "pin"].includes(kind) || typesItself(event.target)) return;
  const key = padKey(event);
  if (key) (kind === "pin" ? typePin : type)(sheet, key, page);
  else if (event.key === "Enter" && !(event.target instanceof HTMLButtonElement)) answer(sheet, page);
  else return;
  event.preventDefault();
}
