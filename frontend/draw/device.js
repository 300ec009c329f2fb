// What only this device can do or keep: its face, its loudness, the test of its bell.
import { html, nothing } from "lit-html";
import { tick } from "./icons.js";

/** @typedef {import("./page.js").Page} Page */

/**
 * One question with a few answers, as large buttons.
 * @param {string} title
 * @param {{label: string, value: any}[]} rows
 * @param {any} current
 * @param {(value: any) => void} choose
 */
const pick = (title, rows, current, choose) =>
  html`<section class="sheet rows"><h2>${title}</h2><ul class="rowlist">${rows.map(
    (row) =>
      html`<li><button type="button" class="row" aria-pressed=${row.value === current ? "true" : "false"} @click=${() => choose(row.value)}>${row.value === current ? tick() : html`<span class="tickmark"></span>`}<span class="words"><b>${row.label}</b></span></button></li>`,
  )}</ul></section>`;

/** @param {any} _ @param {Page} page */
export function settings(_, page) {
  const faces = [
    { label: page.word("facePhone"), value: "phone" },
    { label: page.word("faceDay"), value: "day" },
    { label: page.word("faceNight"), value: "night" },
  ];
  return html`${pick(page.word("face"), faces, page.hands.face?.get() ?? "phone", (value) => page.setFace(value))}${loudness(page)}`;
}

/** @param {Page} page */
function loudness(page) {
  const it = page.hands.bell?.loudness;
  if (!it) return nothing;
  const levels = [
    { label: page.word("loud"), value: 0.4 },
    { label: page.word("louder"), value: 0.7 },
    { label: page.word("loudest"), value: 1 },
  ];
  const now = levels.reduce((a, b) => (Math.abs(b.value - it.get()) < Math.abs(a.value - it.get()) ? b : a)).value;
  return pick(page.word("loudness"), levels, now, (value) => {
    it.set(value);
    page.hands.bell?.play("info");
    page.redraw();
  });
}

/** @param {any} _ @param {Page} page */
export function ringtest(_, page) {
  const play = (/** @type {string} */ level, /** @type {string} */ word) =>
    html`<button type="button" class="act quiet" data-do="ringtest" @click=${() => page.hands.bell?.play(level)}>${page.word(word)}</button>`;
  const heard = (/** @type {boolean} */ yes, /** @type {string} */ word) =>
    html`<button type="button" class=${yes ? "act" : "act quiet"} data-do="heard" @click=${() => page.heard(yes)}>${page.word(word)}</button>`;
  const say = () => page.hands.bell?.say?.(page.word("speakSample"));
  return html`<section class="sheet"><p>${page.word("ringTestLine")}</p>
    ${play("info", "playInfo")}${play("attention", "playAttention")}${play("danger", "playDanger")}
    ${page.hands.bell?.state?.().voice ? html`<button type="button" class="act quiet" data-do="say" @click=${say}>${page.word("speak")}</button>` : nothing}
    ${heard(true, "heard")}${heard(false, "notHeard")}
    ${page.unheard ? html`<p class="okline bad" role="alert">${page.word("notHeardLine")}</p>` : nothing}</section>${page.unheard ? loudness(page) : nothing}`;
}
