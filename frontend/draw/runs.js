// Lines: runs of plain text, bold text and countdowns.
import { html } from "lit-html";
import { ticking } from "./countdown.js";

/** @typedef {import("./countdown.js").Countdown} Countdown */
/** @typedef {{t?: string, c?: Countdown, b?: 1}} Run */

/** @param {Run} run */
function one(run) {
  if (run.c) return html`<span class=${run.b ? "tick b" : "tick"} ${ticking(run.c)}></span>`;
  return run.b ? html`<b>${run.t}</b>` : run.t;
}

/** @param {Run[] | undefined} runs */
export const line = (runs) => (runs ?? []).map(one);
