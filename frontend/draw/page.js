// One page of the browser: what it shows, what lies over it, and what it keeps between two screens of the core.
import { clock } from "./clock.js";
import { Drafts } from "./drafts.js";
import { Layers } from "./layers.js";
import { held, inOrder, sameOrder, steadyMs } from "./steady.js";
import { Offer, undoKey } from "./undo.js";
import { wordsOf } from "./words.js";

/**
 * What the shell does for the drawing.
 * @typedef {{words?: Record<string, string>, tap(command: any): void, go(path: string): void, back?(path: string): void,
 *   draft(path: string): void, photo?(file: File): Promise<string>, log?(file: File): void, picture?(hash: string): Promise<string>, ask?(path: string, what?: any): Promise<{ok: boolean, status: number, body: any}>, mono?(): number, buzz?(): void, face?: {get(): string, set(face: string): void},
 *   bell?: {play(level: string): any, say?(text: string, asked?: boolean): any, unlock(): any, heard?(yes: boolean): any, state?(): {voice: boolean},
 *   loudness?: {get(): number, set(n: number): void}}}} Hands
 */

const answerMostMs = 2000; // a core that says nothing for so long is not waited for

export class Page {
  /** @param {HTMLElement} root @param {(page: Page) => void} paint */
  constructor(root, paint) {
    this.root = root;
    this.paint = paint;
    /** @type {any} */
    this.screen = null;
    /** @type {Hands} */
    this.hands = /** @type {any} */ (null);
    this.word = wordsOf(undefined);
    this.drafts = new Drafts();
    this.layers = new Layers(() => this.backPressed());
    /** @type {import("./sheet.js").Sheet | null} */
    this.sheet = null;
    /** @type {Offer | null} */
    this.offer = null;
    this.settledUndo = "";
    this.dismissed = "";
    this.tapped = false; // a command was handed on, and no screen has come since
    this.onward = ""; // where it leads
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.waiting = undefined;
    /** @type {string | null} */
    this.ringAside = null; // the bell that was put aside with Back
    this.ringShown = "";
    /** @type {import("./steady.js").Placed[]} */
    this.placed = [];
    /** @type {any} */
    this.cannot = null; // why this device cannot ring, as it is said above the work; its place stands a little longer
    this.touchedAt = Number.NEGATIVE_INFINITY;
    this.padName = "";
    /** @type {Map<string, string>} */
    this.pictures = new Map(); // photos shown here: where each comes from, "" where it cannot be had now
    this.unheard = false; // the test of the bell was not heard
    /** @type {any} */
    this.readings = null; // what a page of sensors or files holds
    this.overBefore = "";
    this.under = ""; // what lay under the finger at the last drawing
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.settling = undefined;
    this.moves = 0; // how often a tap has led on
    /** @type {import("./focus.js").Mark | null} */
    this.focusUnder = null;
    this.refusedBefore = "";
    this.minute = 0;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.sorting = undefined;
  }

  /** Takes the next screen of the core. @param {any} screen @param {Hands} hands */
  take(screen, hands) {
    const moved = !this.screen || placeOf(this.screen) !== placeOf(screen);
    const again = this.screen?.now === screen.now; // the same screen, with another notice of the page's own
    this.screen = screen;
    this.hands = hands;
    this.word = wordsOf(hands.words);
    if (hands.mono) clock.mono = hands.mono;
    if (screen.now) clock.set(screen.now);
    this.drafts.arrived(screen.path);
    if (moved) this.leave();
    if (!again) this.heed(screen);
    this.takeUndo(screen.undo);
    this.takeRing(screen.ring);
    this.redraw();
    return moved;
  }

  /** Another place: what belonged to the old one goes. */
  leave() {
    this.placed = [];
    this.cannot = null;
    this.padName = "";
    this.onward = "";
    this.unheard = false;
    this.readings = null;
    for (const url of this.pictures.values()) if (url.startsWith("blob:")) URL.revokeObjectURL(url);
    this.pictures.clear();
    if (this.sheet) this.closeSheet(false);
  }

  redraw() {
    this.placed = this.arranged();
    this.cannot = this.whyNoRing();
    this.paint(this);
  }

  /** The first touch lets a page sound: what that takes away from above the work must not move it under the finger. */
  whyNoRing() {
    const it = this.screen.bell;
    if (it && !it.can && it.title) return it;
    const left = this.touchedAt + steadyMs - performance.now();
    if (left <= 0 || !this.cannot) return null;
    this.sortLater(left);
    return { ...this.cannot, gone: true };
  }

  /** Strips stay put under a hand; they sort themselves once it has been away for a while. */
  arranged() {
    const wanted = inOrder(this.screen.parts ?? []);
    const left = this.touchedAt + steadyMs - performance.now();
    if (left <= 0 || !this.placed.length) return wanted;
    const kept = held(this.placed, this.screen.parts ?? []);
    if (!sameOrder(kept, wanted)) this.sortLater(left);
    return kept;
  }

  /** @param {number} ms */
  sortLater(ms) {
    clearTimeout(this.sorting);
    this.sorting = setTimeout(() => this.redraw(), ms + 20);
  }

  touched() {
    this.touchedAt = performance.now();
  }

  /**
   * Hands a command on. Where it leads is gone to once the core has answered: what is refused must be read here.
   * @param {any} command @param {string} [to]
   */
  tap(command, to = "") {
    this.tapped = true;
    this.onward = to;
    clearTimeout(this.waiting);
    if (to) this.waiting = setTimeout(() => this.goOn(), answerMostMs);
    if (this.offer) this.settledUndo = undoKey(this.offer.undo);
    this.offer = null;
    this.hands.tap(command);
    this.redraw();
  }

  /** The first screen after a tap tells whether it was refused. @param {any} screen */
  heed(screen) {
    if (!this.tapped) return;
    this.tapped = false;
    this.dismissed = ""; // a refusal that was put aside comes again where it is earned again
    if (screen.refusal) this.onward = "";
    else this.goOn();
  }

  goOn() {
    const to = this.onward;
    this.onward = "";
    clearTimeout(this.waiting);
    if (!to) return;
    this.moves++; // what lies here now is on its way out: nobody has read it
    this.go(to);
  }

  /** @param {string} path */
  go(path) {
    this.onward = ""; // whoever goes elsewhere meanwhile stays there
    this.layers.settled.then(() => this.hands.go(path));
  }

  // ---- sheets ----

  /** @param {import("./button.js").Button} button */
  openSheet(button) {
    if (!this.sheet) this.layers.push();
    this.sheet = { button, text: "" };
    this.redraw();
  }

  /** @param {boolean} [redraw] */
  closeSheet(redraw = true) {
    if (!this.sheet) return;
    this.sheet = null;
    this.layers.drop();
    if (redraw) this.redraw();
  }

  /** @param {string} text */
  retype(text) {
    if (this.sheet) this.sheet = { ...this.sheet, text };
    this.redraw();
  }

  /** @param {string} text */
  sheetTrouble(text) {
    if (this.sheet) this.sheet = { ...this.sheet, trouble: text };
    this.redraw();
  }

  // ---- undo ----

  /** @param {import("./undo.js").Undo | undefined} undo */
  takeUndo(undo) {
    const key = undoKey(undo);
    if (!undo || key === this.settledUndo) return;
    if (undoKey(this.offer?.undo) === key) return;
    this.offer = new Offer(undo, clock.now());
  }

  undo() {
    const command = this.offer?.undo.do;
    this.hands.buzz?.();
    if (command) this.tap(command);
  }

  /** @param {Offer} offer */
  undoOver(offer) {
    if (this.offer !== offer) return;
    this.settledUndo = undoKey(offer.undo);
    this.offer = null;
    this.redraw();
  }

  // ---- rings ----

  /** @param {any} ring */
  takeRing(ring) {
    const shown = ring && !this.screen.wall && ring.bell !== this.ringAside ? ring.bell : "";
    if (!ring) this.ringAside = null;
    if (shown && !this.ringShown) this.layers.push();
    if (!shown && this.ringShown) this.layers.drop();
    this.ringShown = shown;
  }

  /**
   * An answered ring leaves the screen at once. Until the core agrees, a bar still tells of it.
   * @param {() => void} deed
   */
  answerRing(deed) {
    this.ringAside = this.screen.ring.bell;
    this.takeRing(this.screen.ring);
    this.redraw();
    deed();
  }

  showRing() {
    this.ringAside = null;
    this.takeRing(this.screen.ring);
    this.redraw();
  }

  /** Back takes away what lies on top: a ring goes on ringing behind a bar, a sheet closes. */
  backPressed() {
    if (this.ringShown) {
      this.ringAside = this.ringShown;
      this.ringShown = "";
    } else this.sheet = null;
    this.redraw();
  }

  // ---- what only this device does ----

  dismiss() {
    this.dismissed = JSON.stringify(this.screen.refusal);
    this.redraw();
  }

  /** @param {string} name */
  usePad(name) {
    this.padName = name;
    this.redraw();
  }

  /** @param {string} name */
  ownAction(name) {
    if (name === "print") print();
    if (name === "sound") this.hands.bell?.unlock();
  }

  /** @param {string} face */
  setFace(face) {
    this.hands.face?.set(face);
    this.redraw();
  }

  /** @param {boolean} yes */
  heard(yes) {
    this.hands.bell?.heard?.(yes);
    this.unheard = !yes; // who did not hear it is told what to do, and stays to try again
    if (!yes) this.redraw();
    else if (this.screen.back) this.go(this.screen.back.to);
  }
}

/** The place of a screen: its path without what is being typed. @param {any} screen */
export const placeOf = (screen) => `${screen.kind} ${String(screen.path).split("?")[0]}`;
