// The join page: a device that no kitchen knows yet asks for a key, by a lead's code or, on the demo's own machine, by itself.

/** @typedef {import("./worker/shelf.js").Pairing} Pairing */
/** @typedef {{kitchen: string, generation: string, demo?: boolean, secure?: boolean, version?: string, protocol?: number}} Hello */
/** @typedef {{title: string, lines: string[]}} Trouble */

const PATIENCE = 8_000; // ms for an answer; a dead path gives none
const CODE_CHARS = 4; // shorter is not worth asking with

/** An Unjoined is why a kitchen gave no key, by its word id. */
export class Unjoined extends Error {
  /**
   * @param {string} word
   * @param {string} [fill]
   */
  constructor(word, fill = "") {
    super(word);
    this.word = word;
    this.fill = fill;
  }
}

/**
 * @param {string} path
 * @param {RequestInit} [init]
 */
async function ask(path, init = {}) {
  try {
    return await fetch(path, { ...init, cache: "no-store", signal: AbortSignal.timeout(PATIENCE) });
  } catch {
    throw new Unjoined("join_offline");
  }
}

/** @returns {Promise<Hello>} */
export async function hello() {
  const answer = await ask("/hello");
  if (!answer.ok) throw new Unjoined("join_offline");
  return answer.json();
}

/**
 * join asks the kitchen for this device's key.
 * @param {{code: string, name: string, wall: boolean}} wish
 * @returns {Promise<Pairing>}
 */
export async function join(wish) {
  const { kitchen, generation } = await hello();
  const body = JSON.stringify(wish);
  const answer = await ask("/join", { method: "POST", headers: { "content-type": "application/json" }, body });
  if (answer.status === 429) throw new Unjoined("join_wait", answer.headers.get("retry-after") ?? "60");
  if (answer.status >= 500) throw new Unjoined("join_offline");
  if (!answer.ok) throw new Unjoined("join_wrong");
  const { device, key } = await answer.json();
  return { device, key, kitchen, generation };
}

/**
 * wishOf reads what was typed from the address: drafts live there.
 * @param {string} path
 */
export function wishOf(path) {
  const fields = new URL(path, "http://kitchen").searchParams;
  return {
    code: (fields.get("code") ?? "").trim().toUpperCase(),
    name: (fields.get("name") ?? "").trim(),
    wall: fields.get("wall") === "1",
  };
}

/**
 * canAsk says whether the typed code is worth asking with.
 * @param {{code: string}} wish
 */
export const canAsk = ({ code }) => code.replaceAll(/[^0-9A-Z]/g, "").length >= CODE_CHARS;

/**
 * joinScreen is the join page in the shape in which the core makes its screens, so that it is drawn alike.
 * @param {string} path
 * @param {Record<string, string>} words
 * @param {{busy: boolean, lost: boolean, out?: string, trouble: Unjoined | null, auto: boolean, now: {kitchen: number, mono: number, pace: number}}} how
 */
export function joinScreen(path, words, { busy, lost, out = "", trouble, auto, now }) {
  const wish = wishOf(path);
  /** @type {Record<string, unknown>[]} */
  const parts = [];
  if (lost) parts.push(fault(words.store_lost));
  if (out) parts.push(fault(words.revoked?.replace("{0}", out)));
  if (trouble) parts.push(fault(words[trouble.word]?.replace("{0}", trouble.fill)));
  if (auto) parts.push(note(words.join_auto));
  else {
    parts.push(note(words.join_lead));
    parts.push({ p: "field", name: "code", label: words.join_code, text: wish.code });
    parts.push({ p: "field", name: "name", label: words.join_name, text: wish.name });
  }
  if (busy) parts.push(note(words.join_busy));
  else if (auto || canAsk(wish))
    parts.push({ p: "buttons", actions: [{ label: words.join_button, style: "act", do: { do: "page-join" } }] });
  return {
    view: "",
    path,
    kind: "join",
    lang: words.lang,
    title: words.join_title,
    saved: { in: "new", text: "", waiting: 0 },
    now,
    ownTime: 1,
    offset: -new Date().getTimezoneOffset(),
    parts,
  };
}

/** @param {string} text */
const note = (text) => ({ p: "note", line: [{ t: text }], tone: "plain" });

/** @param {string | undefined} title */
export const fault = (title) => ({ p: "fault", title, lines: [], actions: [] });
