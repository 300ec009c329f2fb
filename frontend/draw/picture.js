// A photo that a step was done with: out of this device's own store until the kitchen has it, then out of the kitchen.
import { html } from "lit-html";

/** @typedef {import("./page.js").Page} Page */

/** @param {string} hash @param {string} of what was photographed @param {Page} page */
export function picture(hash, of, page) {
  const url = page.pictures.get(hash);
  if (url === undefined) fetchIt(hash, page);
  if (url === "") return html`<p class="meta">${page.word("photoAway")}</p>`;
  return html`<img class="photo" alt=${`${page.word("photo")}: ${of}`} src=${url ?? blank} @error=${() => away(hash, page)} />`;
}

const blank = "data:image/gif;base64,R0lGODlhAQABAAAAACw=";

/** @param {string} hash @param {Page} page */
function fetchIt(hash, page) {
  page.pictures.set(hash, blank); // asked for once
  const found = page.hands.picture?.(hash) ?? Promise.reject(new Error("no pictures here"));
  found.then((url) => shown(hash, url, page)).catch(() => away(hash, page));
}

/** @param {string} hash @param {string} url @param {Page} page */
function shown(hash, url, page) {
  page.pictures.set(hash, url);
  page.redraw();
}

/** @param {string} hash @param {Page} page */
function away(hash, page) {
  if (page.pictures.get(hash) !== "") shown(hash, "", page);
}
