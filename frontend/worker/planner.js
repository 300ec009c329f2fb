// The planner's worker thinks about the plan: the same rules in an instance of their own, with no shelf and no line. It thinks in
// slices, so that it can be told of another state, or to rest, and tells what it has come to whenever that got better.
import { clocks } from "./broken.js";
import { Core } from "./core.js";

/** @typedef {import("./sections.js").Outcome} Outcome */
/** @typedef {import("./sections.js").PlanAsked} Asked */
/** @typedef {import("./sections.js").PlanTold} Told */

const scope = /** @type {DedicatedWorkerGlobalScope} */ (/** @type {unknown} */ (globalThis));
const DEVICE = "planner";
const MOST = 4_000; // ms of thought about one state: what comes after is little, and a battery is small
const SLICE = 60; // ms
const [FEWEST, FIRST, MOVES] = [200, 1_500, 50_000]; // moves of a slice

/** @type {Core | null} */
let core = null;
let run = 0; // of what is thought about now; what came before it stops
let moves = FIRST;

/** @param {Told} told */
const tell = (told) => scope.postMessage(told);
const soon = () => new Promise((resolve) => setTimeout(resolve, 0));

/** @param {Outcome} outcome @param {number} since */
function carry(outcome, since) {
  for (const note of outcome.notes) console.warn("planner:", note);
  if (outcome.plan) tell({ tell: "plan", bytes: outcome.plan, ms: performance.now() - since });
}

/** @param {Extract<Asked, {do: "plan"}>} asked @param {number} mine */
async function plan({ state, tap, lang }, mine) {
  const since = performance.now();
  core ??= await Core.fetch(CORE_URLS, () => {});
  await core.whole({ op: "plan" });
  if (mine !== run) return;
  if (!core.door) {
    await core.start();
    core.step({ op: "start", ...clocks(), device: DEVICE, key: "", lang });
  }
  carry(core.step({ op: "plan", ...clocks(), tap }, state), since);
  await think(mine, since);
}

/** change asks otherwise of the same state: what somebody changes by hand, or what would be if. @param {unknown} tap @param {number} mine */
async function change(tap, mine) {
  if (!core?.door) return;
  const since = performance.now();
  carry(core.step({ op: "plan", ...clocks(), tap }), since);
  await think(mine, since);
}

/** @param {number} mine @param {number} since */
async function think(mine, since) {
  for (;;) {
    await soon();
    if (mine !== run || !core) return;
    const began = performance.now();
    const outcome = core.step({ op: "plan", ...clocks(), tap: { do: "plan-think", number: moves, closes: began - since > MOST } });
    carry(outcome, since);
    if (outcome.wake === 0) break;
    const took = Math.max(1, performance.now() - began);
    moves = Math.round(Math.min(MOVES, Math.max(FEWEST, moves * Math.min(2, Math.max(0.25, SLICE / took)))));
  }
  tell({ tell: "rests" });
}

scope.onmessage = async ({ data }) => {
  const asked = /** @type {Asked} */ (data);
  const mine = ++run;
  try {
    if (asked.do === "plan") await plan(asked, mine);
    else if (asked.do === "change") await change(asked.tap, mine);
  } catch (err) {
    console.error("the planner broke down:", err);
    core = null;
    tell({ tell: "broken", why: String(err) });
  }
};
