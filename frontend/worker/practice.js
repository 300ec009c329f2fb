// The practice worker runs a pretend kitchen: the same rules in an instance of their own, with nothing but memory behind them.
// It has no shelf and no line, so that nothing it does can become a record.
import { clocks } from "./broken.js";
import { Core } from "./core.js";

/** @typedef {import("./sections.js").Outcome} Outcome */
/** @typedef {import("./sections.js").PracticeAsked} Asked */
/** @typedef {import("./sections.js").PracticeTold} Told */

const scope = /** @type {DedicatedWorkerGlobalScope} */ (/** @type {unknown} */ (globalThis));
const VIEW = "practice";
const DEVICE = "practice";

/** @type {Core | null} */
let core = null;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;
let turns = Promise.resolve();
let waiting = 0; // what the page has asked and is not done

/** begin makes a night in a kitchen whose state the page had from the real core. @param {Extract<Asked, {do: "night"}>} asked */
async function begin({ state, tap, path, lang }) {
  core ??= await Core.fetch(CORE_URLS, (on) => on && broken("a part of the rules does not come"));
  await core.whole({ op: "night" });
  await core.start();
  core.step({ op: "start", ...clocks(), device: DEVICE, key: "", lang });
  carry(core.step({ op: "night", ...clocks(), tap }, state));
  look(path);
}

/** @param {string} path */
function look(path) {
  carry(step({ op: "look", view: VIEW, path }));
}

/** @param {{op: import("./core.js").Header["op"], view?: string, path?: string, tap?: unknown}} happening */
function step(happening) {
  return core?.step({ ...happening, ...clocks() }) ?? null;
}

/** carry tells the page what came of a step, and steps again when the core wants it. @param {Outcome | null} outcome */
function carry(outcome) {
  if (!outcome) return;
  if (outcome.clock) tell({ tell: "clock", clock: outcome.clock });
  if (outcome.ring) tell({ tell: "ring", ring: outcome.ring });
  for (const screen of outcome.draw) tell({ tell: "draw", screen });
  for (const note of outcome.notes) console.warn("practice:", note);
  clearTimeout(timer);
  if (outcome.wake > 0) timer = setTimeout(tick, Math.max(0, outcome.wake - clocks().wall));
}

/** tick lets practice time go on; what the page asked comes first. */
function tick() {
  if (waiting === 0) guarded(() => carry(step({ op: "tick" })));
  else timer = setTimeout(tick, 0);
}

/** @param {Told} told */
const tell = (told) => scope.postMessage(told);

/** @param {() => void | Promise<void>} run */
async function guarded(run) {
  try {
    await run();
  } catch (err) {
    broken(err);
  }
}

/** broken ends it: the page says so, and begins another when somebody asks for it. @param {unknown} err */
function broken(err) {
  console.error("practice broke down:", err);
  core = null;
  clearTimeout(timer);
  tell({ tell: "broken", why: String(err) });
}

/** @param {Asked} asked */
function serve(asked) {
  if (asked.do === "night") return begin(asked);
  if (asked.do === "look") return look(asked.path);
  return carry(step({ op: "tap", view: VIEW, path: asked.path, tap: asked.tap }));
}

scope.onmessage = ({ data }) => {
  waiting++;
  turns = turns.then(() => guarded(() => serve(data))).then(() => void waiting--);
};
