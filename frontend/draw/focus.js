// Focus through redrawing: it stays with the thing, wherever that moves, goes from a step that is done to the next, and never falls to nowhere.

const reachable = "a[href], button, input, textarea, summary, [tabindex]";

/**
 * @typedef {{element: Element, key: string | null, index: number}} Mark
 */

/** Where the focus is. @param {Element} root @returns {Mark | null} */
export function markFocus(root) {
  const element = document.activeElement;
  if (!element || element === document.body || !root.contains(element)) return null;
  const home = element.closest("[data-key]");
  const index = home ? [...home.querySelectorAll(reachable)].indexOf(element) : -1;
  return { element, key: home?.getAttribute("data-key") ?? null, index };
}

/** Puts the focus back after a drawing took it away. @param {Element} root @param {Mark | null} mark */
export function restoreFocus(root, mark) {
  if (!mark || document.activeElement === mark.element) return;
  if (mark.element.isConnected && !mark.element.closest("[inert]")) return focusOn(mark.element);
  const home = mark.key ? root.querySelector(`[data-key="${CSS.escape(mark.key)}"]:not([inert])`) : null;
  const again = home?.matches("li.done") ? root.querySelector("li.now") : home?.querySelectorAll(reachable)[Math.max(0, mark.index)];
  focusOn(again ?? root.querySelector("main"));
}

/** @param {Element | null | undefined} element */
export function focusOn(element) {
  if (element instanceof HTMLElement || element instanceof SVGElement) element.focus({ preventScroll: true });
}
