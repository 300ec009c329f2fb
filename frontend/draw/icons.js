// The few drawn signs. Each stands beside its word; none carries a meaning alone.
import { html, svg } from "lit-html";

const kept = svg`<path fill="currentColor" fill-rule="evenodd" d="M0 0h20v20H0zM4.2 10.6l4.4 4.4 7.4-8.6-2.3-2-5.3 6.2-2.1-2.1z"/>`;
const onPhone = svg`<path fill="none" stroke="currentColor" stroke-width="2.6" stroke-dasharray="3.2 2.4" d="M5 1.5h10v17H5z"/>`;
const bellShape = svg`<path fill="currentColor" d="M3 13V8a6 6 0 0 1 12 0v5h2v2H1v-2zM7 16h4v2H7z"/>`;
const strike = svg`<path stroke="currentColor" stroke-width="3" d="M1 1l16 16"/>`;

export const saved = () => html`<svg viewBox="0 0 20 20" aria-hidden="true">${kept}</svg>`;
export const waiting = () => html`<svg viewBox="0 0 20 20" aria-hidden="true">${onPhone}</svg>`;
/** @param {boolean} struck */
export const bell = (struck) => html`<svg class="bell" viewBox="0 0 18 18" aria-hidden="true">${bellShape}${struck ? strike : ""}</svg>`;
export const back = () =>
  html`<svg width="14" height="22" viewBox="0 0 14 22" aria-hidden="true"><path fill="none" stroke="currentColor" stroke-width="4" d="M12 2 3 11l9 9"/></svg>`;
export const onward = () =>
  html`<svg class="onward" width="14" height="22" viewBox="0 0 14 22" aria-hidden="true"><path fill="none" stroke="currentColor" stroke-width="4" d="M2 2l9 9-9 9"/></svg>`;
export const hazard = () =>
  html`<svg class="hazard" viewBox="0 0 28 25" aria-hidden="true"><path fill="currentColor" fill-rule="evenodd" d="M14 0 28 25H0ZM12.4 8.5h3.2l-.5 8.5h-2.2zM12.4 18.6h3.2v3.2h-3.2z"/></svg>`;
export const tick = () =>
  html`<svg class="tickmark" viewBox="0 0 26 26" aria-hidden="true"><path fill="none" stroke="currentColor" stroke-width="4" d="M4 14l6 6L22 6"/></svg>`;

const boxes = /** @type {Record<string, any>} */ ({
  soon: svg`<rect class="r-soon" x="1" y="11" width="26" height="8"/>`,
  ready: svg`<rect class="r-ready" fill="url(#p-ready)" x="1" y="7" width="26" height="12"/>`,
  best: svg`<rect class="r-best" x="0" y="1" width="28" height="19"/>`,
  last: svg`<rect class="r-last" fill="url(#p-last)" x="1" y="1" width="26" height="18"/>`,
  past: svg`<rect class="r-past" fill="url(#p-past)" x="1" y="1" width="26" height="18"/><rect class="r-wall" x="0" y="0" width="5" height="20"/>`,
});

/** The piece of rail beside a state's word: the rail is its own legend. @param {string} state */
export const swatch = (state) => (boxes[state] ? html`<svg class="sw" viewBox="0 0 28 20" aria-hidden="true">${boxes[state]}</svg>` : "");

const ring = svg`<circle cx="10" cy="10" r="7.5" fill="none" stroke="currentColor" stroke-width="2.5"/>`;
const stands = /** @type {Record<string, any>} */ ({
  signed: svg`<path fill="currentColor" fill-rule="evenodd" d="M10 1a9 9 0 1 1 0 18 9 9 0 0 1 0-18zM4.6 10.4l4.2 4.2 6.6-7.4-2-1.8-4.7 5.3-2.2-2.2z"/>`,
  lapsed: svg`${ring}<path stroke="currentColor" stroke-width="4" d="M10 4.5v6.5M10 13v3"/>`,
  learns: svg`${ring}<path fill="currentColor" d="M10 2.5a7.5 7.5 0 0 1 0 15z"/>`,
  back: svg`${ring}<path stroke="currentColor" stroke-width="2.5" d="M4.7 15.3 15.3 4.7"/>`,
  none: ring,
});

/** How somebody stands with a piece of work. @param {string} kind */
export const mark = (kind) =>
  html`<svg class="mark-of" data-mark=${kind} viewBox="0 0 20 20" aria-hidden="true">${stands[kind] ?? ring}</svg>`;
