// What was typed or chosen on a sheet, as the value of a command.

/** @typedef {import("./button.js").Ask} Ask */

/**
 * A typed number in the command's whole base units, exact for decimal digits; null while it is not yet a number.
 * @param {Ask} ask
 * @param {string} text
 */
export function numberOf(ask, text) {
  if (!/^-?\d+\.?\d*$/.test(text)) return null;
  return Math.round(Number(text) * (ask.scale ?? 1) + (ask.offset ?? 0));
}

/** Whether only whole numbers make sense: what has no smaller unit is counted. @param {Ask} ask */
export const counted = (ask) => Boolean(ask.whole) || (ask.scale ?? 1) === 1;

/**
 * The value to put into the command, null while there is none.
 * @param {Ask} ask
 * @param {string} text
 */
export function answerOf(ask, text) {
  if (ask.kind === "number") return numberOf(ask, text);
  return text.trim() || null;
}

/**
 * The button as it stands after its question was answered: the command holds the answer.
 * @param {import("./button.js").Button} button
 * @param {any} value
 */
export function answered(button, value) {
  const name = /** @type {Ask} */ (button.ask).name;
  return { ...button, ask: undefined, do: { ...button.do, [name]: value } };
}
