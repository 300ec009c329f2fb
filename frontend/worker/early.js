// What a phone shows when it is opened, by the first names of paths: the screens whose code is in the first part of the core. All
// others, and what decides about taps, come in the rest (buildcore.mjs parts it by this list).
export const EARLY = ["", "batch", "hold", "lists", "list", "ring", "wall", "join"];

/** isEarly tells whether a path's screen is in the first part. @param {string} path */
export const isEarly = (path) => EARLY.includes(path.split(/[/?#]/)[1] ?? "");
