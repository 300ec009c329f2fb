// Debian's Chromium, started by us so that a test can also kill it.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, readdir, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { pause } from "./server.js";

const executablePath = process.env.CHROMIUM || "/usr/bin/chromium";

const flags = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--no-default-browser-check",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--disable-dev-shm-usage",
  "--mute-audio",
  // Pages of a test lie behind one another; on a bench in the kitchen each would be in front.
  "--disable-backgrounding-occluded-windows",
  "--disable-renderer-backgrounding",
  "--disable-background-timer-throttling",
];

/** One browser for all phones of a test file; each phone is a context of its own. */
export async function openBrowser(t) {
  const browser = await chromium.launch({ executablePath, args: flags });
  t.after(() => browser.close());
  return browser;
}

/** A browser with its own folder on disk, which outlives the process. */
export class OwnChromium {
  static async open(t, more = []) {
    const folder = await mkdtemp(join(tmpdir(), "brinebell-phone-"));
    const own = new OwnChromium(folder, more);
    t.after(async () => {
      await own.kill();
      await rm(folder, { recursive: true, force: true, maxRetries: 5 });
    });
    await own.start();
    return own;
  }

  constructor(folder, more) {
    this.folder = folder;
    this.more = more;
  }

  async start() {
    const file = join(this.folder, "DevToolsActivePort");
    await rm(file, { force: true });
    this.process = spawn(
      executablePath,
      ["--headless=new", ...flags, "--remote-debugging-port=0", `--user-data-dir=${this.folder}`, ...this.more, "about:blank"],
      { stdio: "ignore", detached: true },
    );
    this.browser = await chromium.connectOverCDP(`http://127.0.0.1:${await this.#port(file)}`);
    this.context = this.browser.contexts()[0];
  }

  async #port(file) {
    for (let i = 0; i < 400; i++) {
      const text = await readFile(file, "utf8").catch(() => "");
      if (text.includes("\n")) return Number(text.split("\n")[0]);
      await pause(50);
    }
    throw new Error("Chromium did not say where it listens");
  }

  /**
   * Stops what runs pages and workers, as a phone does with an app that is out of sight. Chromium's own freezing of a page
   * is of no use here: the timers of a page that is in front go on.
   */
  async freezes() {
    const all = await this.#renderers();
    if (!all.length) throw new Error("this browser has no page to freeze");
    for (const pid of all) process.kill(pid, "SIGSTOP");
  }

  async thaws() {
    for (const pid of await this.#renderers()) process.kill(pid, "SIGCONT");
  }

  /** The processes of this browser that run pages. */
  async #renderers() {
    const mine = [];
    for (const pid of (await readdir("/proc")).filter((name) => /^\d+$/.test(name))) {
      const words = await readFile(`/proc/${pid}/cmdline`, "utf8").catch(() => "");
      const group = await readFile(`/proc/${pid}/stat`, "utf8")
        .then((text) => Number(text.slice(text.lastIndexOf(")") + 2).split(" ")[2]))
        .catch(() => 0);
      if (group === this.process.pid && words.includes("--type=renderer")) mine.push(Number(pid));
    }
    return mine;
  }

  /** Kills the browser and all its processes at once; nothing gets to finish. */
  async kill() {
    const dying = this.process;
    if (!dying || dying.exitCode !== null || dying.signalCode !== null) return;
    const gone = once(dying, "exit");
    process.kill(-dying.pid, "SIGKILL");
    await gone;
    await this.browser.close().catch(() => {});
  }
}
