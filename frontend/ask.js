// Questions to the kitchen's server that do not go over the line: files of loggers, tokens of sensors.
import { peek } from "./worker/shelf.js";

const PATIENCE = 120_000; // ms: a long file over a bad Wi-Fi

/**
 * ask sends a request in this device's name and returns what came back; it throws when the server does not answer.
 * @param {string} path
 * @param {{json?: any, file?: Blob}} [what] a JSON body, or a file; neither: it only looks
 * @param {string} [lang] in which the server says what is wrong
 * @returns {Promise<{ok: boolean, status: number, body: any}>}
 */
export async function ask(path, { json, file } = {}, lang = "") {
  const { pairing } = await peek();
  if (!pairing) throw new Error("this device has not joined a kitchen");
  const type = file ? "application/octet-stream" : "application/json";
  const answer = await fetch(path, {
    method: json || file ? "POST" : "GET",
    headers: {
      authorization: `Device ${pairing.device} ${pairing.key}`,
      ...(json || file ? { "content-type": type } : {}),
      ...(lang ? { "accept-language": lang } : {}),
    },
    body: file ?? (json ? JSON.stringify(json) : undefined),
    signal: AbortSignal.timeout(PATIENCE),
  });
  return { ok: answer.ok, status: answer.status, body: await answer.json() };
}
