// Buttons and links: one look, one way to answer a tap.
import { html, nothing } from "lit-html";

/**
 * @typedef {{kind: "number" | "text" | "choice" | "photo" | "pin", name: string, title: string, unit?: string,
 *   limit?: string, keep: string, signed?: 1, whole?: 1, draft?: {name: string, text: string, bad?: any, verdict?: any}, choices?: {label: string, value: any, detail?: string}[], then?: Ask}} Ask
 * @typedef {{title: string, lines?: string[], label: string}} Sure
 * @typedef {{label: string, small?: string, style?: "act" | "stop" | "plain", do?: Record<string, any>, to?: string, ask?: Ask,
 *   sure?: Sure, page?: string}} Button
 * @typedef {import("./page.js").Page} Page
 */

/** The class of a style of button. @param {string | undefined} style */
const look = (style) => (style === "stop" ? "act stop" : style === "plain" ? "act quiet" : "act");

/** @param {Button} button */
const inside = (button) => html`<span>${button.label}</span>${button.small ? html` <small>${button.small}</small>` : nothing}`;

/**
 * @param {Button} button
 * @param {Page} page
 * @param {{of?: string, extra?: string}} [how] of: whose action it is, where the label alone does not say
 */
export function button(button, page, how = {}) {
  const label = how.of ? `${how.of}: ${button.label}` : nothing;
  const classes = `${look(button.style)} ${how.extra ?? ""}`;
  if (button.to && !button.do && !button.ask && !button.sure) {
    return html`<a class=${classes} href=${button.to} data-to=${button.to} aria-label=${label}>${inside(button)}</a>`;
  }
  return html`<button type="button" class=${classes} data-do=${button.do?.do ?? nothing} aria-label=${label} @click=${() => press(button, page)}>${inside(button)}</button>`;
}

/** @param {Button[] | undefined} all @param {Page} page */
export const buttons = (all, page) => (all ?? []).map((one) => button(one, page));

/**
 * What a tap does: asks what is still to be asked, lets the cook be sure, then hands the command on and goes where it leads.
 * @param {Button} button
 * @param {Page} page
 */
export function press(button, page) {
  if (button.ask || button.sure) page.openSheet(button);
  else carryOut(button, page);
}

/** @param {Button} button @param {Page} page */
export function carryOut(button, page) {
  page.hands.buzz?.();
  if (button.page) page.ownAction(button.page);
  if (button.do) page.tap(button.do, button.to);
  else if (button.to) page.go(button.to);
}
