// A part of the core as it comes to a worker: from the cache, where the service worker keeps it, or over the network.
import { fetchPatiently, KEPT } from "../patience.js";

/**
 * compiled fetches a part and compiles it. What is kept may be spoilt: then it is fetched once more, past all that is kept.
 * @param {string} url
 * @returns {Promise<WebAssembly.Module>}
 */
export async function compiled(url) {
  try {
    return await compile(url, {});
  } catch (err) {
    if (!(err instanceof WebAssembly.CompileError)) throw err;
    console.warn(`${url} is spoilt and fetched anew:`, err.message);
    return compile(url, { cache: "reload" });
  }
}

/** @param {string} url @param {RequestInit} init */
async function compile(url, init) {
  const answer = await fetchPatiently(url, init, { watched: /** @type {any} */ (globalThis).name === KEPT });
  if (!answer.ok) throw new Error(`${url}: ${answer.status}`);
  const type = answer.headers.get("content-type") ?? "";
  if (!type.startsWith("application/wasm")) throw new WebAssembly.CompileError(`${url} is ${type || "of no type"}`);
  return WebAssembly.compileStreaming(answer);
}
