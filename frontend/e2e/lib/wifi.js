// One phone's Wi-Fi: a small proxy between its browser and the server. Off, every connection is torn down and none is
// taken; dead, connections stay open and carry nothing, as when somebody walks into the cold room; stalling, some answers stop.
import { once } from "node:events";
import http from "node:http";
import net from "node:net";

export class Wifi {
  static async open(t) {
    const wifi = new Wifi();
    await wifi.on();
    t.after(() => wifi.off());
    return wifi;
  }

  constructor() {
    this.port = 0;
    this.sockets = new Set();
    this.isDead = false;
    this.carried = 0;
    this.missing = new Set(); // paths that this phone does not get
    /** @type {{paths: RegExp, bytes: number, anew: boolean} | null} */
    this.stalling = null;
    /** @type {{paths: RegExp, change: (text: string) => string} | null} */
    this.changing = null;
    this.anew = []; // paths that were asked for past the browser's cache, as a service worker does that keeps them
  }

  get proxy() {
    return { server: `http://127.0.0.1:${this.port}`, bypass: "<-loopback>" };
  }

  async on() {
    if (this.server) return;
    this.isDead = false;
    this.server = http.createServer((ask, answer) => this.#forward(ask, answer));
    this.server.on("connect", (ask, socket) => this.#tunnel(ask, socket));
    this.server.on("connection", (socket) => this.#watch(socket));
    this.server.listen(this.port, "127.0.0.1");
    await once(this.server, "listening");
    this.port = this.server.address().port;
  }

  async off() {
    const server = this.server;
    if (!server) return;
    this.server = null;
    const closed = once(server, "close");
    server.close();
    for (const socket of this.sockets) socket.destroy();
    await closed;
  }

  /** Out of reach, without anybody being told. */
  dead() {
    this.isDead = true;
  }

  /**
   * Answers on some paths stop after so many bytes; after none there is not even a head.
   * @param {RegExp} paths @param {number} bytes @param {boolean} [anew] only where somebody asks past the browser's cache
   */
  stalls(paths, bytes, anew = false) {
    this.stalling = { paths, bytes, anew };
  }

  lives() {
    this.stalling = null;
  }

  /** Has scripts begin with another one. @param {RegExp} paths @param {string} script */
  begins(paths, script) {
    this.changes(paths, (text) => script + text);
  }

  /** Has texts come otherwise than the server sends them. @param {RegExp} paths @param {(text: string) => string} change */
  changes(paths, change) {
    this.changing = { paths, change };
  }

  #watch(socket) {
    if (this.sockets.has(socket)) return;
    this.sockets.add(socket);
    socket.on("error", () => socket.destroy());
    socket.on("close", () => this.sockets.delete(socket));
  }

  #tunnel(ask, socket) {
    const [host, port] = ask.url.split(":");
    const up = net.connect(Number(port), host === "localhost" ? "127.0.0.1" : host, () => {
      socket.write("HTTP/1.1 200 open\r\n\r\n");
    });
    this.#watch(up);
    socket.on("data", (bytes) => this.isDead || up.write(bytes));
    up.on("data", (bytes) => {
      this.carried += bytes.length;
      if (!this.isDead) socket.write(bytes);
    });
    up.on("close", () => socket.destroy());
    socket.on("close", () => up.destroy());
  }

  #forward(ask, answer) {
    if (this.isDead) return; // it waits for ever
    const url = new URL(ask.url);
    if (this.missing.has(url.pathname)) return answer.writeHead(404).end();
    const anew = ask.headers["cache-control"] === "no-cache";
    if (anew) this.anew.push(url.pathname);
    const stalling = this.stalling?.paths.test(url.pathname) && (anew || !this.stalling.anew) ? this.stalling : null;
    if (stalling?.bytes === 0) return;
    const change = this.changing?.paths.test(url.pathname) ? this.changing.change : null;
    const headers = { ...ask.headers };
    if (change) for (const name of ["accept-encoding", "if-none-match", "if-modified-since"]) delete headers[name];
    const up = http.request({ host: "127.0.0.1", port: url.port, path: url.pathname + url.search, method: ask.method, headers }, (got) => {
      if (change) delete got.headers["content-length"];
      answer.writeHead(got.statusCode, got.headers);
      got.on("data", (bytes) => {
        this.carried += bytes.length;
      });
      if (change) collected(got).then((text) => answer.end(change(text)));
      else if (stalling) got.once("data", (bytes) => answer.write(bytes.subarray(0, stalling.bytes)));
      else got.pipe(answer);
    });
    up.on("socket", (socket) => this.#watch(socket));
    up.on("error", () => answer.destroy());
    ask.pipe(up);
  }
}

/** @param {http.IncomingMessage} got */
async function collected(got) {
  const parts = [];
  for await (const part of got) parts.push(part);
  return Buffer.concat(parts).toString();
}
