// Codes to scan, as one path. A chunk of its own: it is fetched when the first code is drawn.
import encodeQR from "qr";

/**
 * @param {string} text
 * @returns {{size: number, path: string}} size in modules, without the quiet zone
 */
export function code(text) {
  const framed = /** @type {boolean[][]} */ (encodeQR(text, "raw", { ecc: "medium", border: 1 }));
  const rows = framed.slice(1, -1).map((row) => row.slice(1, -1));
  return { size: rows.length, path: rows.map(rowPath).join("") };
}

/** @param {boolean[]} row @param {number} y */
function rowPath(row, y) {
  let path = "";
  for (let x = 0; x < row.length; x++) {
    if (!row[x]) continue;
    const from = x;
    while (row[x + 1]) x++;
    path += `M${from} ${y}h${x - from + 1}v1h-${x - from + 1}z`;
  }
  return path;
}
