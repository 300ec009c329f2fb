// What the worker needs of its surroundings in every file: the two clocks, and the name of a breakdown.

/** Broken says that the core broke down and must be started again from the shelf. */
export class Broken extends Error {
  /** @param {string} why */
  constructor(why) {
    super(why);
    this.name = "Broken";
  }
}

/** clocks reads this device's two clocks: what it calls the time, and one that never jumps (same axis in page and worker). */
export function clocks() {
  return { wall: Date.now(), mono: Math.floor(performance.timeOrigin + performance.now()) };
}
