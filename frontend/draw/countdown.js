// Countdowns: text that moves by itself, outside of the templates, so that a second passing redraws no screen.
import { noChange } from "lit-html";
import { directive } from "lit-html/directive.js";
import { clock } from "./clock.js";
import { counting } from "./lengths.js";
import { Moving } from "./moving.js";

/** @typedef {{at: number, pre?: string, post?: string, overPre?: string, overPost?: string}} Countdown */

/**
 * The three texts of a countdown at one instant: what stands before the number, the number, what stands after it.
 * @param {Countdown} c
 * @param {number} now
 */
export function texts(c, now) {
  return now < c.at ? [c.pre ?? "", counting(c.at - now), c.post ?? ""] : [c.overPre ?? "", counting(now - c.at, true), c.overPost ?? ""];
}

class Ticking extends Moving {
  /** @type {Element | undefined} */
  element;
  /** @type {HTMLElement[]} */
  nodes = [];
  /** @type {Countdown | undefined} */
  countdown;

  /** @param {any} part @param {[Countdown]} values */
  update(part, [countdown]) {
    this.countdown = countdown;
    if (this.element !== part.element) this.adopt(part.element);
    this.start();
    this.paint(clock.now());
    return noChange;
  }

  /** @param {Element} element */
  adopt(element) {
    this.element = element;
    this.nodes = ["small", "span", "small"].map((name) => document.createElement(name));
    this.nodes[1].className = "n";
    element.replaceChildren(...this.nodes);
  }

  /** @param {number} now */
  paint(now) {
    if (!this.countdown) return;
    const [pre, number, post] = texts(this.countdown, now);
    const spaced = [pre && `${pre.trimEnd()} `, number, post && joined(post)];
    for (const [i, node] of this.nodes.entries()) if (node.textContent !== spaced[i]) node.textContent = spaced[i];
  }
}

/** A word after the number stands apart from it, a mark does not. @param {string} post */
const joined = (post) => (/^[\s:.,;)]/.test(post) ? post : ` ${post}`);

/** Makes the element of a template count. Used as `<span ${ticking(countdown)}></span>`. */
export const ticking = directive(Ticking);
