// Sheets and rings lie over a screen. Each puts one entry into the browser's history, so that Back takes it away and
// shows again exactly what was open.

// A busy phone takes its time to go back; what is pushed before it has would be popped instead.
const backTakesMostMs = 3000;

export class Layers {
  /** @param {() => void} onBack called when Back was pressed while something lay over the screen */
  constructor(onBack) {
    this.onBack = onBack;
    this.depth = 0;
    this.settled = Promise.resolve();
    addEventListener("popstate", () => this.popped());
  }

  /** Something now lies over the screen. */
  push() {
    this.depth++;
    const depth = this.depth;
    this.settled = this.settled.then(() => history.pushState({ ...history.state, layer: depth }, ""));
  }

  /** It was closed by its own button: its history entry goes too, unless the page has gone on since. */
  drop() {
    if (!this.depth) return;
    const depth = this.depth--;
    this.settled = this.settled.then(() => (history.state?.layer === depth ? this.back() : undefined));
  }

  /** Goes back and waits until the browser is there: what is pushed before that would be lost. */
  back() {
    return new Promise((/** @type {(value?: any) => void} */ resolve) => {
      this.own = resolve;
      setTimeout(resolve, backTakesMostMs);
      history.back();
    });
  }

  popped() {
    const own = this.own;
    this.own = undefined;
    if (own) return own();
    if (!this.depth) return;
    this.depth--;
    this.onBack();
  }
}
