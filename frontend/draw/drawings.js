// Plain drawings of how things lie and stand, drawn for this kitchen tool: lines that stay apart on a wet screen, no words
// in them. The numbers in them are those of the lines below, which the core writes.
import { html, nothing, svg } from "lit-html";

/** A number in a drawing. @param {number} n @param {number} x @param {number} y */
const no = (n, x, y) => svg`<g class="dn"><circle cx=${x} cy=${y} r="15" /><text x=${x} y=${y + 7}>${n}</text></g>`;

/** A piece with its bone, lying. @param {number} x @param {number} y @param {number} [w] @param {number} [h] */
const piece = (x, y, w = 34, h = 21) =>
  svg`<g class="dp"><ellipse cx=${x} cy=${y} rx=${w} ry=${h} /><path class="bone" d=${`M${x - w * 0.5} ${y}h${w}`} /></g>`;

/** A thin piece. @param {number} x @param {number} y */
const thin = (x, y) => svg`<path class="dp" d=${`M${x - 30} ${y}q30 -20 60 0q-30 16 -60 0z`} />`;

/** Waves of a liquid's surface. @param {number} x @param {number} y @param {number} waves */
const surface = (x, y, waves) => svg`<path class="dl" d=${`M${x} ${y}${"q10 -9 20 0t20 0".repeat(waves)}`} />`;

/** @type {Record<string, any>} */
const shapes = {
  // A basket from the side: thick pieces first and below, thin ones above, room at the rim.
  basket: svg`<path class="dl" d="M52 34 70 176H250L268 34M250 176V176M70 176H250" /><path class="thin" d="M58 82H262M63 122H257M100 40V176M140 40V176M180 40V176M220 40V176" />
    <path class="dl" d="M268 34h46q10 0 10 10v6" />
    ${piece(105, 150)}${piece(161, 152)}${piece(216, 150)}${thin(98, 106)}${thin(160, 106)}${thin(222, 106)}
    <path class="dl" d="M276 84V40M268 48l8 -9 8 9M268 76l8 9 8 -9" />
    ${no(1, 28, 150)}${no(2, 28, 106)}${no(3, 302, 84)}<path class="thin" d="M44 150H66M44 106H60" />`,
  // A pressure fryer from the front: the needle on its pin, the valve open, only then the lid's lock.
  lid: svg`<path class="df" d="M64 112H232V188H64z" /><path class="dl" d="M64 112V188H232V112" />${surface(68, 142, 4)}
    <path class="dl" d="M50 112V92H246V112z" /><path class="df lidlock" d="M112 92V66H184V92z" /><path class="dl" d="M112 92V66H184V92M148 66V44M118 44H178" />
    <path class="dl" d="M50 96h-14v24h14M246 96h14v24h-14" />
    <circle class="df" cx="290" cy="50" r="38" /><circle class="dl" cx="290" cy="50" r="38" /><path class="thin" d="M262 66l8 -5M290 18v9M318 66l-8 -5M266 32l7 5M314 32l-7 5" /><path class="needle" d="M290 50 265 65" /><circle class="tip" cx="290" cy="50" r="6" /><path class="dl" d="M290 88V140H232" />
    <path class="dl" d="M64 160H34V150M24 150h20M30 136q-8 -8 0 -16t0 -16" />
    ${no(1, 290, 118)}${no(2, 22, 74)}${no(3, 148, 26)}`,
  // A drain insert over its tub: pieces in one layer, the liquid below and never touching them.
  drain: svg`<path class="df" d="M62 158H258L252 188H68z" />${surface(62, 158, 5)}<path class="dl" d="M46 52 68 188H252L274 52" />
    <path class="dl" d="M40 104H280" stroke-dasharray="14 8" />${piece(100, 82)}${piece(160, 82)}${piece(220, 82)}
    <path class="drop" d="M100 118q8 12 0 18q-8 -6 0 -18zM160 122q8 12 0 18q-8 -6 0 -18zM220 118q8 12 0 18q-8 -6 0 -18z" />
    <path class="dl" d="M290 106V156M283 113l7 -8 7 8M283 149l7 8 7 -8" />
    ${no(1, 26, 78)}${no(2, 26, 172)}${no(3, 308, 131)}<path class="thin" d="M42 78H60M42 172H62" />`,
  // A piece cut open: the tip in the middle of the thickest part; on the bone it reads wrong.
  probe: svg`<path class="df" d="M24 116q4 -66 96 -66q64 0 92 34q22 26 66 22q22 2 22 20t-22 20q-40 -2 -66 18q-40 28 -100 22q-88 -10 -88 -70z" /><path class="dl" d="M24 116q4 -66 96 -66q64 0 92 34q22 26 66 22q22 2 22 20t-22 20q-40 -2 -66 18q-40 28 -100 22q-88 -10 -88 -70z" />
    <path class="boney" d="M150 138H300q20 0 20 -12t-18 -8H150q-22 -6 -22 10t22 10z" />
    <path class="stem" d="M84 92 52 14" /><circle class="tip" cx="84" cy="92" r="6" /><path class="dl" d="M36 14H68" />
    <path class="stem" d="M188 116 216 14" /><circle class="tip" cx="188" cy="116" r="6" /><path class="dl" d="M200 14H232" /><path class="cross" d="M188 34 246 72M246 34 188 72" />
    ${no(1, 92, 28)}${no(2, 264, 28)}`,
  // A tub cut open: liquid first, pieces in layers below its line, something clean on top, room below the lid.
  tub: svg`<path class="df" d="M52 74H268L256 188H64z" />${surface(47, 74, 5)}<path class="dl" d="M247 74q10 -9 20 0" /><path class="dl" d="M40 30 64 188H256L280 30" /><path class="dl" d="M30 30H290V20H30z" />
    ${piece(104, 164, 30, 16)}${piece(162, 166, 30, 16)}${piece(218, 164, 30, 16)}${piece(106, 128, 30, 16)}${piece(162, 128, 30, 16)}${piece(216, 128, 30, 16)}
    <path class="plate" d="M74 98H246l-12 9H86z" />
    ${no(1, 22, 84)}${no(2, 22, 146)}${no(3, 304, 100)}<path class="thin" d="M37 84H50M37 146H70M289 100H248" />`,
};

/**
 * A drawing with its lines. What is not known here is left out.
 * @param {{name: string, alt: string, lines?: string[]} | undefined} it
 */
export function drawing(it) {
  const shape = it && shapes[it.name];
  if (!shape) return nothing;
  return html`<figure class="drawing" data-drawing=${it.name}><svg viewBox="0 0 340 200" role="img" aria-label=${it.alt}>${shape}</svg>
    <figcaption>${it.lines?.length ? html`<ol>${it.lines.map((text) => html`<li>${text}</li>`)}</ol>` : nothing}</figcaption></figure>`;
}
