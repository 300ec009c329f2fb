// What the browser's measurements share: a phone four times as slow as this machine, and figures as the bench prints them.
import { spawn } from "node:child_process";
import { once } from "node:events";

const slower = 4;

export const middle = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
const round = (v) => Math.round(v * 100) / 100;
export const scale = (name, value, unit) => ({ name, value: round(value), unit, goal: "", holds: true });
export const most = (name, value, unit, goal) => ({ name, value: round(value), unit, goal: `<= ${goal}`, holds: value <= goal });

/** Slows every renderer of a browser while something runs. */
export async function slowly(chromium, run) {
  const session = await chromium.browser.newBrowserCDPSession();
  const { processInfo } = await session.send("SystemInfo.getProcessInfo");
  await session.detach();
  const pids = processInfo.filter(({ type }) => type === "renderer").map(({ id }) => String(id));
  const brake = spawn(process.env.BENCH, ["-slow", String(slower), ...pids], { stdio: ["pipe", "pipe", "inherit"] });
  await once(brake.stdout, "data");
  try {
    return await run();
  } finally {
    brake.stdin.end();
    await once(brake, "exit");
  }
}
