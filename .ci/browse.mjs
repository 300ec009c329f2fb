// Runs the browser tests, two files at a time. A test that fails is run once more, alone and on a machine that has gone
// quiet: one that passes then was late, not wrong, and is named at the end for whoever has the time to find out why. One
// that fails twice has failed, and so has a run in which more than a few fail.
//
//   node browse.mjs FOLDER FILE...   leaves FOLDER/e2e.json for the tally
import { spawnSync } from "node:child_process";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const FEW = 3;
const [folder, ...files] = process.argv.slice(2);

/** @param {string} name @param {string[]} how */
function runs(name, how) {
  const tap = join(folder, name);
  const reporters = ["--test-reporter=spec", "--test-reporter-destination=stdout", "--test-reporter=tap", `--test-reporter-destination=${tap}`];
  const { status } = spawnSync(process.execPath, ["--test", ...reporters, ...how], { stdio: "inherit" });
  const text = readFileSync(tap, "utf8");
  rmSync(tap);
  return { ok: status === 0, text };
}

/** The tests that failed, each with its file. @param {string} text */
function failed(text) {
  const found = [];
  for (const block of text.split(/^(?=(?:not )?ok )/m)) {
    const name = block.match(/^not ok \d+ - (.*)$/m)?.[1];
    const file = block.match(/^ {2}location: '(.*\.e2e\.js):\d+:\d+'$/m)?.[1];
    if (name !== undefined) found.push({ name: name.replace(/\\(.)/g, "$1"), file });
  }
  return found;
}

const count = (/** @type {string} */ text, /** @type {string} */ word) => Number(text.match(new RegExp(`^# ${word} (\\d+)`, "m"))?.[1] ?? 0);
const exactly = (/** @type {string} */ name) => `^${name.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&")}$`;

const first = runs("e2e.tap", ["--test-concurrency=2", ...files]);
const late = [];
const lost = [];
const again = failed(first.text);
if (again.length > FEW || again.some(({ file }) => !file)) lost.push(...again.map(({ name }) => name));
else
  for (const { name, file } of again) {
    console.log(`\nonce more, alone: ${name}`);
    const second = runs("again.tap", [`--test-name-pattern=${exactly(name)}`, /** @type {string} */ (file)]);
    (second.ok && count(second.text, "pass") === 1 ? late : lost).push(name);
  }
for (const name of late) console.log(`passed only when run again alone, look into it: ${name}`);
for (const name of lost) console.log(`failed: ${name}`);
const bad = lost.length || (!first.ok && !again.length ? 1 : 0);
writeFileSync(join(folder, "e2e.json"), JSON.stringify({ passed: count(first.text, "pass") + late.length, failed: bad, skipped: count(first.text, "skipped") }));
if (bad) process.exitCode = 1;
