// How lengths of time and times of day are written.

const nb = "\u00a0";
const two = (/** @type {number} */ n) => String(n).padStart(2, "0");

/**
 * A length as it counts: seconds below ten minutes, minutes below an hour, then hours and minutes.
 * @param {number} ms
 * @param {boolean} [over] past its end: whole seconds gone; before it, seconds begun, so that 0:00 is the end itself
 */
export function counting(ms, over = false) {
  const s = over ? Math.floor(ms / 1000) : Math.ceil(ms / 1000);
  if (s < 600) return `${Math.floor(s / 60)}:${two(s % 60)}`;
  const min = Math.floor(s / 60);
  if (min < 60) return `${min}${nb}min`;
  return `${Math.floor(min / 60)}${nb}h${nb}${two(min % 60)}`;
}

/**
 * A length that stands still, as on the marks of a rail.
 * @param {number} ms
 * @param {boolean} fine minutes and seconds, for waits of minutes
 */
export function standing(ms, fine) {
  const s = Math.round(ms / 1000);
  if (fine) return `${Math.floor(s / 60)}:${two(s % 60)}`;
  const min = Math.round(s / 60);
  if (min < 60) return `${min}${nb}min`;
  const rest = min % 60 ? `${nb}${two(min % 60)}` : "";
  return `${Math.floor(min / 60)}${nb}h${rest}`;
}

/**
 * Time of day in the kitchen's zone.
 * @param {number} ms kitchen time
 * @param {number} offset minutes that wall time is ahead of UTC
 */
export function timeOfDay(ms, offset) {
  const at = new Date(ms + offset * 60_000);
  return `${two(at.getUTCHours())}:${two(at.getUTCMinutes())}`;
}

/** The same instant for machines, with its offset. @param {number} ms @param {number} offset */
export function machineTime(ms, offset) {
  const ahead = Math.abs(offset);
  const zone = `${offset < 0 ? "-" : "+"}${two(Math.floor(ahead / 60))}:${two(ahead % 60)}`;
  return new Date(ms + offset * 60_000).toISOString().slice(0, 16) + zone;
}

/** A number as typed, with the decimal sign of the language. @param {string} text @param {string} sign */
export const written = (text, sign) => text.replace(".", sign).replace("-", "\u2212");
