// One phone's Wi-Fi: a small proxy between its browser and the server. Off, every connection is torn down and none is
// taken; dead, connections stay open and carry nothing, as when somebody walks into the cold room.
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
    const up = http.request(
      { host: "127.0.0.1", port: url.port, path: url.pathname + url.search, method: ask.method, headers: ask.headers },
      (got) => {
        answer.writeHead(got.statusCode, got.headers);
        got.on("data", (bytes) => {
          this.carried += bytes.length;
        });
        got.pipe(answer);
      },
    );
    up.on("socket", (socket) => this.#watch(socket));
    up.on("error", () => answer.destroy());
    ask.pipe(up);
  }
}
