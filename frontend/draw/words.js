// Words of the page itself. The core hands them over in the reader's language; these stand in until it has.

/** @type {Record<string, string>} */
export const fallback = {
  skip: "Skip to the work",
  places: "Places",
  line: "Line",
  hold: "Hold",
  lists: "Lists",
  more: "More",
  kitchenTime: "Kitchen time {0}",
  ownTime: "this device's clock",
  caution: "Caution",
  pad: "Number pad",
  erase: "Erase",
  point: "Decimal point",
  minus: "Minus",
  nothingYet: "nothing typed yet",
  goBack: "Leave it",
  keep: "Keep {0}",
  done: "done",
  stepOf: "step {0} of {1}",
  why: "Why",
  how: "How",
  ifNot: "If not",
  whyAndIfNot: "Why, and what if not",
  limit: "Limit",
  printLabel: "Print 1 label",
  trueSize: "True size, 50 × 30 mm",
  code: "Code {0}",
  struck: "taken back",
  corrected: "corrected",
  ringing: "Ringing",
  ringsStill: "Still ringing: {0}",
  openRing: "Show what rings",
  undoSeconds: "{0} {1} s",
  face: "Face",
  facePhone: "As the phone",
  faceDay: "Day",
  faceNight: "Night",
  loudness: "Loudness",
  loud: "Loud",
  louder: "Louder",
  loudest: "As loud as it goes",
  ringTest: "Ring test",
  ringTestLine: "Plays each of the three signals once. Stand where you work.",
  playInfo: "Play: information",
  playAttention: "Play: attention",
  playDanger: "Play: danger",
  speak: "Say it",
  speakSample: "Tub three: drain now",
  notHeardLine: "Turn the volume up, then play it again. If it stays silent, put another device in this room.",
  heard: "I heard it",
  notHeard: "I did not hear it",
  scanCode: "Code to scan: {0}",
  decimal: ".",
  noPhoto: "The picture could not be kept. Take it again, or leave this and write why there is none.",
  photo: "Photo",
  photoAway: "The photo is not on this device. It shows when the kitchen is in touch.",
};

/**
 * @param {Record<string, string> | undefined} given
 * @returns {(key: string, ...fill: (string | number)[]) => string}
 */
export function wordsOf(given) {
  return (key, ...fill) =>
    fill.reduce((/** @type {string} */ text, value, i) => text.replaceAll(`{${i}}`, String(value)), given?.[key] ?? fallback[key] ?? key);
}
