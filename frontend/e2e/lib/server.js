// A kitchen's server as a process of its own, so that a test can cut its power.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, rm } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const binary = process.env.BRINEBELL ?? fileURLToPath(new URL("../../../build/brinebell", import.meta.url));

export class Server {
  /** @param {{demo?: boolean, data?: string, port?: number, more?: string[]}} [options] */
  static async open(t, { demo = true, more = [] } = {}) {
    const data = await mkdtemp(join(tmpdir(), "brinebell-"));
    const server = new Server(data, await freePort(), demo, more);
    t.after(async () => {
      await server.cutPower();
      await rm(data, { recursive: true, force: true });
    });
    await server.start();
    return server;
  }

  constructor(data, port, demo, more) {
    Object.assign(this, { data, port, demo, more });
    this.origin = `http://localhost:${port}`;
    this.log = "";
    this.process = null;
  }

  /** Starts it and waits until it says that it is ready. */
  async start() {
    const args = ["serve", "--listen", `127.0.0.1:${this.port}`, "--data", this.data, ...this.more];
    if (this.demo) args.push("--demo");
    this.process = spawn(binary, args, { stdio: ["ignore", "pipe", "pipe"] });
    for (const out of [this.process.stdout, this.process.stderr]) {
      out.on("data", (text) => {
        this.log += text;
      });
    }
    await this.#ready();
  }

  async #ready() {
    const until = Date.now() + 20_000;
    while (Date.now() < until) {
      if (this.process.exitCode !== null) throw new Error(`the server stopped:\n${this.log}`);
      try {
        const answer = await fetch(`${this.origin}/readyz`, { signal: AbortSignal.timeout(2000) });
        if (answer.ok) return;
      } catch {
        // not listening yet
      }
      await pause(30);
    }
    throw new Error(`the server was not ready in 20 s:\n${this.log}`);
  }

  /** Kills it as a power cut would: nothing gets to finish. */
  async cutPower() {
    const dying = this.process;
    if (!dying || dying.exitCode !== null || dying.signalCode !== null) return;
    dying.kill("SIGKILL");
    await once(dying, "exit");
  }

  /** Stops it as its owner would. */
  async stop() {
    const dying = this.process;
    if (!dying || dying.exitCode !== null || dying.signalCode !== null) return;
    dying.kill("SIGTERM");
    await once(dying, "exit");
  }

  /** Runs another command of the binary on the same data and returns what it printed. */
  async run(command, ...args) {
    const child = spawn(binary, [command, "--data", this.data, ...args]);
    let out = "";
    for (const pipe of [child.stdout, child.stderr]) pipe.on("data", (text) => (out += text));
    const [code] = await once(child, "exit");
    return { code, out };
  }

  /** @param {string} path */
  async get(path) {
    const answer = await fetch(this.origin + path, { signal: AbortSignal.timeout(5000) });
    return { status: answer.status, text: await answer.text() };
  }

  /** @param {string} path @param {object} body */
  async post(path, body) {
    const answer = await fetch(this.origin + path, {
      method: "POST",
      headers: { "content-type": "application/json", origin: this.origin },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(5000),
    });
    return { status: answer.status, text: await answer.text() };
  }
}

export const pause = (ms) => new Promise((done) => setTimeout(done, ms));

export async function freePort() {
  const probe = createServer();
  probe.listen(0, "127.0.0.1");
  await once(probe, "listening");
  const { port } = probe.address();
  probe.close();
  await once(probe, "close");
  return port;
}
