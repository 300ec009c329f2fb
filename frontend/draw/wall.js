// The wall: one list for the whole room, read from three metres. Nothing on it can be tapped, and it never scrolls.
import { html, nothing } from "lit-html";
import { repeat } from "lit-html/directives/repeat.js";
import { ticking } from "./countdown.js";
import { bell, hazard, saved, swatch, waiting } from "./icons.js";
import { line } from "./runs.js";
import { figure, railOf } from "./strip.js";
import { stripe } from "./takeover.js";
import { timeNow } from "./top.js";

/** @typedef {import("./page.js").Page} Page */

const rowsMost = 4;

/** The first thing: band, deed and minutes, rail across the screen; what rings has the stripe. @param {any} it */
function first(it) {
  return html`<section class="first" data-state=${it.state ?? "none"} aria-labelledby="first">${it.rings ? stripe() : nothing}
    <p class="word">${swatch(it.state ?? "none")}<strong>${it.word}</strong>${it.sub?.length ? html`<span>${line(it.sub)}</span>` : nothing}${it.cue ? html`<span class=${it.cue.length > 30 ? "warn long" : "warn"}>${hazard()}${it.cue}</span>` : nothing}</p>
    <div class="head"><h2 id="first" class=${`${it.name}${it.deed ?? ""}`.length > 20 ? "long" : ""}>${it.name}${it.deed ? html`: ${it.deed}` : nothing}</h2>${figure(it)}</div>
    ${railOf(it.rail && { ...it.rail, labels: undefined }, { size: 2, wall: true })}</section>`;
}

/** @param {any} it */
const row = (
  it,
) => html`<li class="rowline" data-key=${it.key} data-state=${it.state ?? "none"}>${it.rings ? stripe() : nothing}<div><h2 class=${it.name.length > 12 ? "long" : ""}>${it.name}</h2>${it.deed || it.detail?.length ? html`<p class="what">${it.detail?.length ? line(it.detail) : it.deed}</p>` : nothing}</div>
  <p class="word">${swatch(it.state ?? "none")}<strong class=${it.word?.length > 12 ? "long" : ""}>${it.word ?? nothing}</strong></p>${it.rail ? railOf({ ...it.rail, labels: undefined }, { size: 2, wall: true }) : html`<span></span>`}${it.left ? html`<p class="left" ${ticking(it.left)}></p>` : figure(it)}</li>`;

/** Cautions and other parts that are not rows. @param {any} it */
function aside(it) {
  if (it.p === "empty")
    return html`<section class="first"><div class="head"><h2>${it.title}</h2></div><p class="what">${line(it.line)}</p></section>`;
  if (it.p === "note") return html`<p class="wnote">${line(it.line)}</p>`;
  return it.p === "fault" ? html`<section class="first off"><h2>${it.title}</h2><p>${(it.lines ?? []).join(" ")}</p></section>` : nothing;
}

/** @param {Page} page */
export function wall(page) {
  const { screen } = page;
  const strips = screen.parts.filter((/** @type {any} */ it) => it.p === "strip");
  const kept = screen.saved ?? { in: "new", text: "" };
  return html`<header class="wtop"><h1 tabindex="-1" data-heading>${screen.facts?.length ? line(screen.facts[0]) : screen.title}</h1>${timeNow(page)}</header>
    <main id="main" tabindex="-1">${screen.parts.map(aside)}${strips.length ? first(strips[0]) : nothing}
      <ol class="rows">${repeat(strips.slice(1, 1 + rowsMost), (it) => it.key, row)}</ol></main>
    <footer class="wfoot" data-saved=${kept.in}><span>${kept.in === "kitchen" ? saved() : waiting()}${kept.text}</span>${
      screen.bell ? html`<span>${bell(!screen.bell.can)}${screen.bell.text}</span>` : nothing
    }</footer>`;
}
