// What is being typed on a screen lives in its address, so that it outlives a reload. Here the address is rewritten, and
// the newest text is kept until the core has drawn it.

/** @typedef {import("./page.js").Page} Page */

/** The path with one query field set; empty text removes it. @param {string} path @param {string} name @param {string} text */
export function withField(path, name, text) {
  const [base, query = ""] = path.split("?");
  const fields = new URLSearchParams(query);
  if (text) fields.set(name, text);
  else fields.delete(name);
  const rest = fields.toString();
  return rest ? `${base}?${rest}` : base;
}

export class Drafts {
  /** @type {string | null} */
  ahead = null; // the path as it will be once the core has answered
  /** @type {Map<string, string>} */
  texts = new Map();

  /** @param {string} name @param {string} drawn the text that the core last drew */
  text(name, drawn) {
    return this.texts.get(name) ?? drawn;
  }

  /** @param {string} name @param {string} text @param {Page} page */
  type(name, text, page) {
    this.ahead = withField(this.ahead ?? page.screen.path, name, text);
    this.texts.set(name, text);
    page.hands.draft(this.ahead);
    page.redraw();
  }

  /** A screen has arrived: it may be the one that was waited for, or another place. @param {string} path */
  arrived(path) {
    if (this.ahead === null) return;
    const same = (/** @type {string} */ p) => p.split("?")[0];
    if (path !== this.ahead && same(path) === same(this.ahead)) return;
    this.ahead = null;
    this.texts.clear();
  }
}
