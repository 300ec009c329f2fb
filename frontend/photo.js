// A photo for a step: made small, named by its hash, sent now or kept until the kitchen can be reached.
import { post } from "./worker/post.js";
import { peek, shelvedPhoto, shelvePhoto } from "./worker/shelf.js";

const SIDE_MOST = 1_600; // pixels
const QUALITY = 0.8;
const MB = 1_000_000;
const FILE_MOST = 40 * MB; // bytes; no camera of a phone writes more, and opening it could end the page

/** An Unkept is why a photo is not kept, by its word id. */
export class Unkept extends Error {
  /**
   * @param {string} word
   * @param {number[]} [fill]
   */
  constructor(word, fill = []) {
    super(word);
    this.word = word;
    this.fill = fill;
  }
}

/**
 * keepPhoto returns the SHA-256 of the small photo, in hexadecimal, once it lies in the kitchen or on this phone's shelf.
 * @param {Blob} file
 * @returns {Promise<string>}
 */
export async function keepPhoto(file) {
  const bytes = new Uint8Array(await (await shrink(file)).arrayBuffer());
  const { pairing } = await peek();
  if (!pairing) throw new Error("this device has not joined a kitchen");
  if (!crypto.subtle) return post(bytes, pairing); // plain http: only the server can name it
  const hash = hex(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
  await shelvePhoto(hash, bytes);
  return hash;
}

/**
 * pictureOf returns an address under which a photo can be shown: of what lies on this phone's shelf, else the kitchen's.
 * @param {string} hash
 */
export async function pictureOf(hash) {
  const bytes = await shelvedPhoto(hash).catch(() => undefined);
  return bytes ? URL.createObjectURL(new Blob([/** @type {BlobPart} */ (bytes)], { type: "image/jpeg" })) : `/photo/${hash}`;
}

/**
 * fit returns the size of a picture whose longer side is at most 1600 pixels.
 * @param {number} width
 * @param {number} height
 */
export function fit(width, height) {
  const scale = Math.min(1, SIDE_MOST / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/** @param {Blob} file @returns {Promise<Blob>} */
async function shrink(file) {
  if (file.size > FILE_MOST) throw new Unkept("photoBig", [Math.ceil(file.size / MB), FILE_MOST / MB]);
  const picture = await createImageBitmap(file).catch(() => {
    throw new Unkept("photoBroken");
  });
  const canvas = Object.assign(document.createElement("canvas"), fit(picture.width, picture.height));
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((resolve, reject) => {
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("this picture cannot be made smaller"))), "image/jpeg", QUALITY);
  });
}

/** @param {Uint8Array} bytes */
const hex = (bytes) => Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
