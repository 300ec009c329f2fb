// Updates are found quietly and wait: the app never changes under a running step, nor makes a phone mute that can ring.

const ASK_EVERY = 3_600_000; // ms: a page that is open for a week asks by itself
const ASK_LEAST = 600_000; // ms between asks when the page is only looked at again
const LOOK_EVERY = 15_000;
const BROKEN_OFF = 30_000; // ms after which an installation goes on: the path may live again

/** Updates watches the service worker of this origin. */
export class Updates {
  /** @param {{quiet: () => boolean, changed: () => void, up: () => boolean}} page quiet: a reload now would disturb nobody and silence nothing; up: it shows what the rules drew */
  constructor(page) {
    this.page = page;
    /** @type {ServiceWorkerRegistration | null} */
    this.registration = null;
    this.stale = false; // a newer worker serves this page already
    this.reloading = false;
    this.spoilt = false; // it did not come up, and nobody was told yet
    this.mended = false; // what this page was begun with was spoilt, and is kept as it should be now
    this.asked = 0;
    this.register = /** @type {() => Promise<ServiceWorkerRegistration>} */ (async () => Promise.reject(new Error("not begun")));
    this.refused = !navigator.serviceWorker; // plain http, or a certificate that the browser does not trust
  }

  /** @param {string} url a trusted one where the browser asks for that */
  async begin(url) {
    const { serviceWorker } = navigator;
    if (!serviceWorker) return;
    const first = !serviceWorker.controller;
    serviceWorker.addEventListener("controllerchange", () => this.#changed(first));
    serviceWorker.addEventListener("message", ({ data }) => data === "mended" && this.#mended());
    this.register = () => serviceWorker.register(url, { updateViaCache: "none" });
    try {
      await this.#register();
    } catch (err) {
      console.warn("no service worker, so no start without the server:", err);
      this.refused = true;
      this.page.changed();
      return;
    }
    serviceWorker.ready?.then(() => this.#after()).catch(() => {});
    setInterval(() => this.ask(), ASK_EVERY);
    setInterval(() => this.#look(), LOOK_EVERY);
    document.addEventListener("visibilitychange", () => this.#seen());
    this.page.changed();
  }

  /** secure says whether this address lets the page be kept: known to fail only once the browser has refused. */
  secure() {
    return isSecureContext && !this.refused;
  }

  /** kept says whether this page would open without the server. */
  kept() {
    return Boolean(this.registration?.active);
  }

  ready() {
    return this.stale || Boolean(this.registration?.waiting && navigator.serviceWorker.controller);
  }

  /** now swaps at once: a hand asked for it. */
  now() {
    this.reloading = true;
    if (this.registration?.waiting) this.registration.waiting.postMessage("swap");
    else location.reload();
  }

  async #register() {
    const registration = await this.register();
    if (registration !== this.registration) registration.addEventListener("updatefound", () => this.#found());
    this.registration = registration;
    this.#found();
  }

  #found() {
    const worker = this.registration?.installing;
    let installed = false;
    worker?.addEventListener("statechange", () => {
      installed ||= worker.state === "installed";
      if (worker.state === "redundant" && !installed) setTimeout(() => this.#again(), BROKEN_OFF);
      this.page.changed();
    });
    this.page.changed();
  }

  /** #again follows an installation that was broken off: what came of it is kept, and it goes on from there. */
  #again() {
    if (this.registration?.active) this.ask();
    else this.#register().catch((err) => console.warn("no service worker yet:", err)); // the browser has forgotten the registration
  }

  /** mend has what is kept looked through, since this page does not come up with it. */
  mend() {
    const keeper = this.registration?.active;
    this.spoilt = !keeper; // then it is told once it is there
    keeper?.postMessage("mend");
  }

  #mended() {
    this.mended = true;
    if (this.page.up()) this.#look();
    else location.reload();
  }

  /** @param {boolean} first */
  #changed(first) {
    if (first && !this.stale && !this.reloading) {
      this.page.changed();
      return; // the first worker took this page over; it is of the same build
    }
    this.stale = true;
    if (this.reloading) location.reload();
    else this.#look();
  }

  /** #after has the service worker fetch what may come after all else; again, until it has come. */
  #after() {
    this.registration?.active?.postMessage("after");
    if (this.spoilt) this.mend();
  }

  #look() {
    this.#after();
    if ((this.ready() || this.mended) && this.page.quiet()) this.now();
  }

  #seen() {
    if (document.visibilityState === "visible" && performance.now() - this.asked > ASK_LEAST) this.ask();
  }

  /** ask looks for a newer version of the app now. */
  ask() {
    this.asked = performance.now();
    this.registration?.update().catch(() => {}); // the server is away: next hour
  }
}
