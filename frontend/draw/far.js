// What the kitchen's server draws of a page: asked for while the page stands open, since no phone has it.
import { html } from "lit-html";
import { swatch } from "./icons.js";

/** @typedef {import("./page.js").Page} Page */
/** @typedef {{path: string, wait: string, away: string, again: string}} Far */

/** What came back for an address. */
class Fetched {
  /** @param {Page} page @param {Far} it */
  constructor(page, it) {
    this.page = page;
    this.path = it.path;
    /** @type {any[] | null} */
    this.parts = null;
    this.trouble = "";
    this.busy = true;
    queueMicrotask(() => this.load(it)); // it draws, and this is being drawn
  }

  /** @param {Far} it */
  async load(it) {
    this.busy = true;
    this.trouble = "";
    this.page.redraw();
    try {
      const answer = await this.page.hands.ask?.(it.path);
      if (answer?.ok) this.parts = answer.body.parts;
      else this.trouble = answer?.body.text ?? it.away;
    } catch {
      this.trouble = it.away;
    }
    this.busy = false;
    this.page.redraw();
  }
}

/** @type {WeakMap<Page, Fetched>} */
const fetched = new WeakMap();

/**
 * far draws what came from the server with the page's own drawings.
 * @param {Far} it @param {Page} page @param {(part: any, page: Page) => any} draw
 */
export function far(it, page, draw) {
  let got = fetched.get(page);
  if (got?.path !== it.path) {
    got = new Fetched(page, it);
    fetched.set(page, got);
  }
  const { parts, busy, trouble } = got;
  if (parts) return html`<div data-far="here">${parts.map((part) => draw(part, page))}</div>`;
  if (busy) return html`<p class="note plain" role="status" data-far="wait"><span>${it.wait}</span></p>`;
  return html`<section class="sheet" data-far="away"><p class="note bad" role="alert">${swatch("past")}<span>${trouble}</span></p>
    <button type="button" class="act quiet" data-do="again" @click=${() => got.load(it)}><span>${it.again}</span></button></section>`;
}
