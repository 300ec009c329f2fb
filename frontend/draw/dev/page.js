// Draws one screen from a file. ?screen=NAME, &face=day|night, &run=1 lets its clock run.
import { draw } from "../draw.js";

const asked = new URLSearchParams(location.search);
const { all, words } = await (await fetch("/screens.json")).json();
const root = /** @type {HTMLElement} */ (document.getElementById("app"));
const began = performance.now();
const face = asked.get("face") ?? "phone";
if (face !== "phone") document.documentElement.dataset.face = face;

const it = /** @type {any} */ (globalThis);
it.done = [];
const note = (/** @type {string} */ what) => (/** @type {any} */ value) => it.done.push([what, value]);

it.show = (/** @type {any} */ screen) =>
  draw(root, screen, {
    words: words[screen.lang],
    mono: () => (screen.now?.mono ?? 0) + (asked.get("run") ? performance.now() - began : (it.late ?? 0)),
    tap: note("tap"),
    go: note("go"),
    draft: note("draft"),
    face: { get: () => face, set: note("face") },
    bell: { play: note("play"), unlock: note("unlock"), heard: note("heard"), loudness: { get: () => 0.7, set: note("loudness") } },
  });
it.screens = all;
it.show(all[asked.get("screen") ?? "line"]);
document.documentElement.dataset.drawn = "yes";
