// Pages that need the kitchen's server: what they draw comes as a chunk of its own, their words with the server's answer.
import { html, nothing } from "lit-html";

/** @typedef {import("./page.js").Page} Page */

/** @type {typeof import("./readings_pages.js") | null} */
let pages = null;

/** @param {"sensors" | "importing"} which @param {Page} page */
function drawn(which, page) {
  if (pages) return pages[which](page);
  import("./readings_pages.js").then(
    (module) => {
      pages = module;
      page.redraw();
    },
    (err) => console.warn("the page of readings is not here:", err),
  );
  return html`${nothing}`;
}

/** @param {any} _ @param {Page} page */
export const sensors = (_, page) => drawn("sensors", page);

/** @param {any} _ @param {Page} page */
export const importing = (_, page) => drawn("importing", page);
