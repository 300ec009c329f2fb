// Photos travel beside the line: each is posted until the kitchen has it.

const PATIENCE = 120_000; // ms for one photo: half a megabyte over a bad Wi-Fi

/** Refused says that the kitchen answered and does not take this photo; the others may go on. */
export class Refused extends Error {}

/**
 * post sends a photo and returns the hash under which the kitchen keeps it.
 * @param {Uint8Array} bytes
 * @param {{device: string, key: string}} pairing
 * @returns {Promise<string>}
 */
export async function post(bytes, { device, key }) {
  const answer = await fetch("/photo", {
    method: "POST",
    headers: { authorization: `Device ${device} ${key}`, "content-type": "image/jpeg" },
    body: /** @type {BufferSource} */ (bytes),
    signal: AbortSignal.timeout(PATIENCE),
  });
  if (!answer.ok) throw new Refused(`the kitchen did not take the photo: ${answer.status}`);
  return (await answer.json()).hash;
}

/**
 * postAll sends what lies on the shelf, one after the other. Without a connection it stops; a photo that is refused
 * stays on the shelf and does not hold up the rest.
 * @param {{photos: () => Promise<string[]>, photo: (hash: string) => Promise<Uint8Array | undefined>, photoSent: (hash: string) => Promise<void>}} shelf
 * @param {{device: string, key: string}} pairing
 */
export async function postAll(shelf, pairing) {
  for (const hash of await shelf.photos()) {
    const bytes = await shelf.photo(hash);
    try {
      if (bytes) await post(bytes, pairing);
      await shelf.photoSent(hash);
    } catch (err) {
      if (!(err instanceof Refused)) throw err;
      console.warn(err.message);
    }
  }
}
