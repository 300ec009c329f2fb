// A chart: the core's drawing as one SVG that fills its width, with lines that keep their strokes and words that keep
// their size; and its values as a table for who does not see it.
import { html, nothing, svg } from "lit-html";

/**
 * @typedef {{sort: number, tone: string, at: string, text?: string, end?: number}} Item
 * @typedef {{title?: string, says: string, bars?: number, items: Item[], head?: string[], rows: string[][]}} Plot
 */

const size = 1000; // of the core's drawings
const [path, spot, words, field] = [0, 1, 2, 3];

const places = (/** @type {Item} */ it) => it.at.split(" ").map((one) => one.split(",").map(Number));
const pct = (/** @type {number} */ n) => `${n / (size / 100)}%`;

/** Lines and shades are stretched, so that one drawing fits every width. @param {Item} it */
function stretched(it) {
  if (it.sort === path) return svg`<polyline class=${`c-${it.tone}`} points=${it.at} vector-effect="non-scaling-stroke" />`;
  const [[x, y], [right, bottom]] = places(it);
  return svg`<rect class=${`c-${it.tone}`} x=${x} y=${y} width=${right - x} height=${bottom - y} />`;
}

const shapes = /** @type {Record<string, any>} */ ({
  value: svg`<circle class="c-spot" r="3" />`,
  signal: svg`<path class="c-sign" d="M0-9 9 0 0 9-9 0Z" />`,
});

/** Marks and words stand in their places as they are. @param {Item} it */
function standing(it) {
  const [[x, y]] = places(it);
  if (it.sort === spot) return svg`<svg x=${pct(x)} y=${pct(y)} overflow="visible">${shapes[it.tone] ?? shapes.value}</svg>`;
  return svg`<text class=${`c-${it.tone}`} x=${pct(x)} y=${pct(y)} text-anchor=${it.end ? "end" : nothing}>${it.text}</text>`;
}

/** @param {Plot} it */
export const plot = (it) => {
  const flat = it.items.filter((one) => one.sort === path || one.sort === field);
  const upright = it.items.filter((one) => one.sort === spot || one.sort === words);
  return html`<figure class="sheet plot">${it.title ? html`<h2>${it.title}</h2>` : nothing}
    <svg class=${it.bars ? `chart bars-${it.bars}` : "chart"} role="img" aria-label=${it.says}>
      <svg viewBox="0 0 ${size} ${size}" preserveAspectRatio="none" width="100%" height="100%">${flat.map(stretched)}</svg>
      ${upright.map(standing)}
    </svg>
    <div class="heard"><table><caption>${it.says}</caption><thead><tr>${(it.head ?? []).map((one) => html`<th scope="col">${one}</th>`)}</tr></thead>
      <tbody>${it.rows.map((row) => html`<tr>${row.map((one) => html`<td>${one}</td>`)}</tr>`)}</tbody></table></div></figure>`;
};
