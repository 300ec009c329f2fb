// The screens of a phone by the first names of their paths, as their code comes to it (buildcore.mjs parts it by these lists).

// What a phone shows when it is opened: in the first part of the core. All others, and what decides about taps, come after it.
export const EARLY = ["", "hold", "lists", "ring", "wall", "join"];

// Where somebody looks back, learns or leads rather than works on food: in the last part, which a phone need not have to run
// a kitchen.
export const LATE = ["charts", "chart", "cook", "crew", "import", "plan", "practice", "quiz", "records", "sensors"];

/** @param {string} path */
const first = (path) => path.split(/[/?#]/)[1] ?? "";

/** isEarly tells whether a path's screen is in the first part of the core. @param {string} path */
export const isEarly = (path) => EARLY.includes(first(path));

/** isLate tells whether it is in the last. @param {string} path */
export const isLate = (path) => LATE.includes(first(path));
