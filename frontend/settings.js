// What only this device keeps: its face, its loudness, whether its bell was heard. None of it is a record.

const PREFIX = "brinebell.";

/**
 * read returns a setting, or what stands in for it.
 * @param {string} name
 * @param {string} otherwise
 */
export function read(name, otherwise) {
  try {
    return localStorage.getItem(PREFIX + name) ?? otherwise;
  } catch {
    return otherwise; // storage switched off: the page works without
  }
}

/**
 * @param {string} name
 * @param {string} value
 */
export function write(name, value) {
  try {
    localStorage.setItem(PREFIX + name, value);
  } catch {
    // then it lasts as long as this page
  }
}

/** @param {string} name */
export function drop(name) {
  try {
    localStorage.removeItem(PREFIX + name);
  } catch {
    // then there is nothing to drop
  }
}

/** The face of the screen: as the phone has it, or day or night by choice. */
export const face = {
  get: () => read("face", "phone"),
  /** @param {string} value */
  set(value) {
    write("face", value);
    dress();
  },
};

/** dress puts the chosen face on the document. */
export function dress() {
  const chosen = face.get();
  if (chosen === "phone") delete document.documentElement.dataset.face;
  else document.documentElement.dataset.face = chosen;
}

/** How loud this device rings, from 0.1 to 1. */
export const loudness = {
  get: () => Math.min(1, Math.max(0.1, Number(read("loudness", "1")) || 1)),
  /** @param {number} value */
  set: (value) => write("loudness", String(value)),
};
