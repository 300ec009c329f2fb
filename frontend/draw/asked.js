// What was typed or chosen on a sheet, as the value of a command.

/** @typedef {import("./button.js").Ask} Ask */

/**
 * The value to put into the command, null while there is none. A number goes as it was typed: the core knows the units.
 * @param {Ask} ask
 * @param {string} text
 */
export function answerOf(ask, text) {
  if (ask.kind === "number") return /^-?\d+\.?\d*$/.test(text) ? text : null;
  if (ask.kind === "pin") return /^\d{4,8}$/.test(text) ? text : null;
  return text.trim() || null;
}

/**
 * The button as it stands after its question was answered: the command holds the answer.
 * @param {import("./button.js").Button} button
 * @param {any} value
 */
export function answered(button, value) {
  const name = /** @type {Ask} */ (button.ask).name;
  return { ...button, ask: button.ask?.then, do: { ...button.do, [name]: value } };
}
