// What is fetched over a path that may be dead: one that takes a question and never answers, or stops in the middle, is given up,
// so that somebody can be told and it can be asked again. A browser by itself would wait for ever.

/** @typedef {{head: number, idle: number}} Patience ms until an answer must begin, and that it may then go without a byte */

/** @type {Patience} */
const USUAL = { head: 15_000, idle: 120_000 };

/** A Dead is an answer that did not come, or not all of it. */
export class Dead extends Error {
  /** @param {string} what */
  constructor(what) {
    super(what);
    this.name = "Dead";
  }
}

/**
 * fetchPatiently fetches and gives up on a dead path: it throws Dead while there is no answer, and whoever reads the answer gets Dead
 * where it stalls.
 * @param {string | Request} what
 * @param {RequestInit} [init]
 * @param {{patience?: Patience, watched?: boolean}} [how] watched: somebody else sees to it that the answer does not stall
 */
export async function fetchPatiently(what, init = {}, { patience = USUAL, watched = false } = {}) {
  const giving = new AbortController();
  const giveUp = (/** @type {string} */ why) => {
    const dead = new Dead(`${typeof what === "string" ? what : what.url}: ${why}`);
    console.warn("given up:", dead.message); // who compiles what comes is told no reason
    giving.abort(dead);
  };
  const timer = setTimeout(giveUp, patience.head, "no answer");
  try {
    const answer = await fetch(what, { ...init, signal: giving.signal });
    if (!watched) watch(answer, patience.idle, () => giveUp("no more of it came"));
    return answer;
  } finally {
    clearTimeout(timer);
  }
}

/**
 * watch reads along beside whoever reads an answer.
 * @param {Response} answer
 * @param {number} idle
 * @param {() => void} giveUp
 */
async function watch(answer, idle, giveUp) {
  const reader = answer.clone().body?.getReader();
  if (!reader) return;
  try {
    for (let done = false; !done; ) {
      const timer = setTimeout(giveUp, idle);
      ({ done } = await reader.read().finally(() => clearTimeout(timer)));
    }
  } catch {
    // whoever reads the answer is told
  }
}

/** inTime gives up on what should be here by now, and may hang on a dead path. @template T @param {Promise<T>} coming @returns {Promise<T>} */
export function inTime(coming) {
  const late = new Promise((_, give) => setTimeout(give, USUAL.head, new Dead("it does not come")));
  return /** @type {Promise<T>} */ (Promise.race([coming, late]));
}

// A page names its workers KEPT where the service worker answers them: it gives up on what stalls by itself, and what is read along
// with may lose the machine code that the browser keeps beside it.
export const KEPT = "kept";

/** workerOf begins a worker. @param {string | URL} script */
export const workerOf = (script) => new Worker(script, { name: navigator.serviceWorker?.controller ? KEPT : "" });
