// What moves with the clock: an element part of a template that paints its element again when the time asks for it.
import { noChange } from "lit-html";
import { AsyncDirective } from "lit-html/async-directive.js";
import { clock } from "./clock.js";

export class Moving extends AsyncDirective {
  /** @type {(() => void) | undefined} */
  stop;

  /** @param {...any} _values */
  render(..._values) {
    return noChange;
  }

  /** @param {number} _now kitchen ms */
  paint(_now) {}

  /** To be called whenever the template is drawn. */
  start() {
    this.stop ??= clock.follow({ update: (now) => this.paint(now) });
  }

  disconnected() {
    this.stop?.();
    this.stop = undefined;
  }

  reconnected() {
    this.start();
  }
}
