// Files of the kitchen's records: the page asks for a link that opens once, and the browser saves what lies behind it.
import { peek } from "./worker/shelf.js";

const PATIENCE = 10_000; // ms for the link; the file itself may take as long as it takes

/** Refused is the kitchen's own sentence why somebody may not have a file. */
export class Refused extends Error {}

/** Whether an address is that of a file that the kitchen's server makes. @param {string} path */
export const isFile = (path) => path.startsWith("/api/");

/**
 * linkTo asks for a link to a file. It opens once, and only for a minute, so that the device's key stands in no address.
 * @param {string} path
 * @param {{device: string, key: string}} pairing
 * @param {string} lang in which it is told why there is none
 * @returns {Promise<string>}
 */
export async function linkTo(path, { device, key }, lang) {
  const answer = await fetch("/api/ticket", {
    method: "POST",
    headers: { authorization: `Device ${device} ${key}`, "content-type": "application/json", "accept-language": lang },
    body: JSON.stringify({ path }),
    signal: AbortSignal.timeout(PATIENCE),
  });
  if (answer.status === 403) throw new Refused((await answer.json()).text);
  if (!answer.ok) throw new Error(`the kitchen gives no file: ${answer.status}`);
  return (await answer.json()).path;
}

/** save has the browser save a file. @param {string} path @param {string} lang */
export async function save(path, lang) {
  const { pairing } = await peek();
  if (!pairing) throw new Error("this device has not joined a kitchen");
  const link = Object.assign(document.createElement("a"), { href: await linkTo(path, pairing, lang), download: "" });
  link.click();
}
