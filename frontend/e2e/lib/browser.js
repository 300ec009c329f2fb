// Debian's Chromium, started by us so that a test can also kill it.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtemp, readFile, rm } from "node:fs/promises";
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
