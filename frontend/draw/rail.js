// The rail: one SVG without a viewBox, x and width in percent, so that it scales without bending its patterns. It is
// painted outside of the templates and moves with the clock.
import { noChange, nothing, render, svg } from "lit-html";
import { directive } from "lit-html/directive.js";
import { clock } from "./clock.js";
import { Moving } from "./moving.js";
import { geometry, labels, railInstant } from "./rail_geometry.js";

/** @typedef {import("./rail_geometry.js").Rail} RailData */
/** @typedef {{size: number, offset?: number, wall?: boolean}} How size in units of 40 px height; see look */

/** @type {Set<Railing>} */
const measured = new Set();
if (typeof addEventListener !== "undefined") addEventListener("resize", () => measureRails());

/** Paints every rail at its true width: after each drawing, and when the window changes. */
export function measureRails() {
  const scale = rootPx() / 16;
  for (const rail of measured) rail.measure(scale);
}

const rootPx = () => Number.parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
const pct = (/** @type {number} */ n) => `${Math.round(n * 100) / 100}%`;
const px = (/** @type {number} */ n) => Math.round(n * 10) / 10;
const patterned = new Set(["ready", "last", "past"]);

class Railing extends Moving {
  /** @type {SVGElement | undefined} */
  element;
  /** @type {RailData | undefined} */
  rail;
  /** @type {How} */
  how = { size: 1 };
  shown = "";
  width = 0;
  scale = 1;

  /** @param {any} part @param {[RailData, How]} values */
  update(part, [rail, how]) {
    this.element = part.element;
    this.rail = rail;
    this.how = how;
    this.shown = "";
    this.start();
    return noChange;
  }

  start() {
    measured.add(this);
    super.start();
  }

  /** @param {number} scale of the text against 16 px */
  measure(scale) {
    if (!this.element) return;
    const width = this.element.getBoundingClientRect().width;
    if (width === this.width && scale === this.scale && this.shown) return;
    this.width = width;
    this.scale = scale;
    this.shown = "";
    this.paint(clock.now());
  }

  /** @param {number} now */
  paint(now) {
    if (!this.width || !this.rail || !this.element) return;
    const at = railInstant(this.rail, now);
    if (this.shown === String(at)) return;
    this.shown = String(at);
    const u = this.how.size * (this.how.wall ? this.scale : 1);
    const g = geometry(this.rail, at, this.width, u);
    const marks = this.labels(g);
    const height = String(px(40 * u + (marks.length ? 46 * this.scale : 0)));
    if (this.element.getAttribute("height") !== height) this.element.setAttribute("height", height);
    render(drawing(g, marks, u, this.scale, this.how.wall ? "-w" : ""), this.element);
  }

  /** Numbers under the rail, where there is room for any. @param {ReturnType<typeof geometry>} g */
  labels(g) {
    if (!this.rail?.labels || this.width < 256 * this.scale) return [];
    return labels(this.rail, g.x, this.width, { offset: this.how.offset ?? 0, textScale: this.scale });
  }

  disconnected() {
    super.disconnected();
    measured.delete(this);
  }
}

const railing = directive(Railing);

/** @param {ReturnType<typeof geometry>["boxes"][number]} b @param {number} u @param {string} set */
const box = (b, u, set) =>
  svg`<rect class=${`r-${b.state}`} x=${pct(b.x)} width=${pct(b.w)} y=${px(b.y * u)} height=${px(b.h * u)} fill=${patterned.has(b.state) ? `url(#p-${b.state}${set})` : nothing} />`;

/** @param {number} u */
const cutMark = (u) =>
  svg`<svg x="14" overflow="visible"><path class="r-cut" d=${`M-2 ${px(24 * u)}h12l-6 ${px(17 * u)}h-12z`} /><path class="r-cutline" d=${`M-1 ${px(24 * u)}l-6 ${px(17 * u)}M9 ${px(24 * u)}l-6 ${px(17 * u)}`} /></svg>`;

/** @param {number} at @param {number} u */
const nowMark = (at, u) =>
  svg`<svg x=${pct(at)} overflow="visible"><path class="r-now" d=${`M${px(-8 * u)} ${px(-u)}H${px(8 * u)}L${px(2 * u)} ${px(8 * u)}V${px(40 * u)}H${px(-2 * u)}V${px(8 * u)}Z`} /></svg>`;

/** @param {number} at @param {number} u */
const postMark = (at, u) =>
  svg`<svg x=${pct(at)} overflow="visible"><rect class="r-wall" x=${px(-2.5 * u)} y=${px(6 * u)} width=${px(5 * u)} height=${px(34 * u)} /></svg>`;

/** @param {import("./rail_geometry.js").Label} l @param {number} u @param {number} scale */
const label = (
  l,
  u,
  scale,
) => svg`<text class="b" x=${pct(l.x)} dx=${px(l.dx)} y=${px(40 * u + 18 * scale)} text-anchor="middle">${l.text}</text>
<text class="cap" x=${pct(l.x)} dx=${px(l.dx)} y=${px(40 * u + 37 * scale)} text-anchor="middle">${l.cap}</text>`;

/** @param {ReturnType<typeof geometry>} g @param {import("./rail_geometry.js").Label[]} marks @param {number} u @param {number} scale @param {string} set */
function drawing(g, marks, u, scale, set) {
  return svg`${g.boxes.map((b) => box(b, u, set))}
<line class="r-base" x1="0" x2="100%" y1=${px(38 * u)} y2=${px(38 * u)} />
${g.post === undefined ? nothing : postMark(g.post, u)}
${g.cut ? cutMark(u) : nothing}
${nowMark(g.now, u)}
${marks.map((l) => label(l, u, scale))}`;
}

/** The element part that makes an svg a rail. @param {RailData} rail @param {How} how */
export const onRail = (rail, how) => railing(rail, how);
