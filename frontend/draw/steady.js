// A strip never jumps under a finger: while a hand is on the glass, and three seconds longer, strips stay where they are.

/** @typedef {{id: string, part: any, gone: boolean}} Placed */

export const steadyMs = 3000;

/** What makes a part the same part on the next screen. @param {any} part */
export const idOf = (part) => `${part.p} ${part.key ?? part.name ?? part.title ?? ""}`;

/** Parts in the order that the core wants. @param {any[]} parts @returns {Placed[]} */
export function inOrder(parts) {
  const seen = new Map();
  return parts.map((part) => {
    const id = idOf(part);
    const n = seen.get(id) ?? 0;
    seen.set(id, n + 1);
    return { id: n ? `${id} ${n}` : id, part, gone: false };
  });
}

/** @param {Placed} it */
const isStrip = (it) => it.part.p === "strip";

/**
 * Parts in the order in which they are already shown: news appear in their old places, strips that went away leave their
 * place standing, what is new waits at the end of the strips. Only a list of strips is held: a screen of steps answers a
 * tap at once.
 * @param {Placed[]} shown
 * @param {any[]} parts
 * @returns {Placed[]}
 */
export function held(shown, parts) {
  if (!shown.some(isStrip)) return inOrder(parts);
  const wanted = new Map(inOrder(parts).map((it) => [it.id, it]));
  const stays = (/** @type {Placed} */ it) => wanted.has(it.id) || isStrip(it) || it.part.p === "group";
  const kept = shown.filter(stays).map((it) => wanted.get(it.id) ?? { ...it, gone: isStrip(it) });
  const known = new Set(shown.map((it) => it.id));
  const added = [...wanted.values()].filter((it) => !known.has(it.id));
  const end = kept.findLastIndex(isStrip) + 1;
  return [...kept.slice(0, end), ...added, ...kept.slice(end)];
}

/** Whether two arrangements show the same parts in the same places. @param {Placed[]} a @param {Placed[]} b */
export const sameOrder = (a, b) => a.length === b.length && a.every((it, i) => it.id === b[i].id && it.gone === b[i].gone);
