// The undo bar: what was just done, by whom and when, and ten seconds to take it back. The seconds stand still while the
// page is hidden or the bar has the focus.
import { html, noChange } from "lit-html";
import { directive } from "lit-html/directive.js";
import { clock } from "./clock.js";
import { Moving } from "./moving.js";

/**
 * @typedef {import("./page.js").Page} Page
 * @typedef {{text: string, detail?: string, until: number, label: string, do: any}} Undo
 */

const wholeMs = 10_000;
const pausesMostMs = 13_000; // the core takes an undo back for 15 s more than it shows: beyond that a pause would promise too much
const still = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/** How long an undo is still offered, pauses left out. */
export class Offer {
  /** @param {Undo} undo @param {number} now */
  constructor(undo, now) {
    this.undo = undo;
    this.left = undo.until - now;
    this.seen = now;
    this.pauses = 0;
  }

  /** @param {number} now @param {boolean} paused @returns {number} ms left */
  pass(now, paused) {
    const passed = Math.max(0, now - this.seen);
    if (paused && this.pauses + passed <= pausesMostMs) this.pauses += passed;
    else this.left -= passed;
    this.seen = now;
    return this.left;
  }
}

/** Which tap an undo is about. @param {Undo | undefined} undo */
export const undoKey = (undo) => (undo ? JSON.stringify(undo.do) : "");

class Seconds extends Moving {
  /** @type {Element | undefined} */
  element;
  /** @type {Page | undefined} */
  page;

  /** @param {any} part @param {[Page]} values */
  update(part, [page]) {
    this.element = part.element;
    this.page = page;
    this.start();
    this.paint();
    return noChange;
  }

  paint() {
    const bar = this.element;
    const offer = this.page?.offer;
    if (!bar || !offer) return;
    const paused = document.hidden || bar.contains(document.activeElement);
    const left = offer.pass(clock.now(), paused);
    if (left <= 0) return queueMicrotask(() => this.page?.undoOver(offer));
    const label = labelOf(offer.undo.label, Math.ceil(left / 1000));
    const button = bar.querySelector("button");
    if (button && button.textContent !== label) button.textContent = label;
    const line = bar.querySelector("rect");
    if (line && !still()) line.setAttribute("width", `${Math.round((100 * left) / wholeMs)}%`);
  }
}

const seconds = directive(Seconds);

/** @param {string} label @param {number} left */
export const labelOf = (label, left) => (label.includes("{0}") ? label.replace("{0}", String(left)) : `${label} ${left}\u00a0s`);

/** @param {Page} page */
export function undoBar(page) {
  const offer = page.offer;
  if (!offer) return "";
  const { undo } = offer;
  return html`<div class="undo" data-part="undo" ${seconds(page)}><p role="status"><b>${undo.text}</b>${undo.detail ? html`<br />${undo.detail}` : ""}</p>
    <button type="button" data-do="undo" @click=${() => page.undo()}></button><svg aria-hidden="true"><rect width="100%" height="5" /></svg></div>`;
}
