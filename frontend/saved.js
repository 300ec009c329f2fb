// What the standing row may say of where the work is.

/** @typedef {{in: string, text: string, waiting?: number, since?: number}} Saved */

/**
 * The core says "saved on this phone" of what it has handed to the shelf. While the shelf cannot keep it, that would be
 * a claim that a crash breaks, so the page says so instead. What the kitchen has is saved all the same.
 * @param {Saved | undefined} saved
 * @param {Set<string>} notices the standing sentences
 * @param {Record<string, string>} words
 */
export function savedNow(saved, notices, words) {
  const failing = notices.has("store_full") || notices.has("store_fail");
  if (!saved || !failing || saved.in === "kitchen") return saved;
  return { ...saved, in: "new", text: words.store_none };
}
