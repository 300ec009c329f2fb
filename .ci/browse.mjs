// Runs the browser tests, a few files at a time: they wait more than they work. A test that fails is run once more, alone and
// on a machine that has gone quiet: one that passes then was late, not wrong, and is named at the end for whoever has the time
// to find out why. One that fails twice has failed, and so has a run in which more than a few fail.
//
//   node browse.mjs FOLDER FILE...   leaves FOLDER/e2e.json for the tally
import { spawn } from "node:child_process";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";

const AT_ONCE = 3;
const FEW = 5; // of some hundred and thirty: more that fail are not late
const LONG = ["hire", "draw", "inspector", "reach", "keyboard", "oil", "guided", "practice", "flows", "markup", "line", "stalls"]; // begun first, so that none is left at the end
const WAITING = ["loads", "timealone", "kills", "clock", "apart", "ring"]; // they wait for time to pass: one of them runs beside the others
const [folder, ...files] = process.argv.slice(2);

/**
 * runs a file's tests, prints what they say once they are done, and returns it.
 * @param {string} file @param {string[]} how
 * @returns {Promise<{file: string, ok: boolean, text: string}>}
 */
function runs(file, how = []) {
  const tap = join(folder, `${basename(file)}.tap`);
  const reporters = ["--test-reporter=spec", "--test-reporter-destination=stdout", "--test-reporter=tap", `--test-reporter-destination=${tap}`];
  const begun = Date.now();
  return new Promise((resolve) => {
    const child = spawn(process.execPath, ["--test", ...reporters, ...how, file], { stdio: ["ignore", "pipe", "inherit"] });
    let said = "";
    child.stdout.on("data", (bytes) => (said += bytes));
    child.on("close", (code) => {
      const lines = said.split("\n");
      const sum = lines.findIndex((line) => line.startsWith("ℹ tests")); // the counts of one file say nothing
      process.stdout.write(`${basename(file)}, ${Math.round((Date.now() - begun) / 1000)} s\n${lines.slice(0, code === 0 && sum >= 0 ? sum : undefined).join("\n")}\n`);
      const text = readFileSync(tap, "utf8");
      rmSync(tap);
      resolve({ file, ok: code === 0, text });
    });
  });
}

/** The names of the tests that failed. @param {string} text */
const failed = (text) => [...text.matchAll(/^not ok \d+ - (.*)$/gm)].map((found) => found[1].replace(/\\(.)/g, "$1"));

const count = (/** @type {string} */ text, /** @type {string} */ word) => Number(text.match(new RegExp(`^# ${word} (\\d+)`, "m"))?.[1] ?? 0);
const exactly = (/** @type {string} */ name) => `^${name.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&")}$`;
const nameOf = (/** @type {string} */ file) => basename(file, ".e2e.js");
/** In the order of a list; what is not on it comes last. @param {string[]} list */
const inOrder = (list) => (/** @type {string} */ a, /** @type {string} */ b) => rank(list, a) - rank(list, b);
const rank = (/** @type {string[]} */ list, /** @type {string} */ file) => list.indexOf(nameOf(file)) + 1 || list.length + 1;

/** Runs all files, the long ones first. Whoever has nothing left helps with those that wait. */
async function runAll() {
  const waits = files.filter((file) => WAITING.includes(nameOf(file))).sort(inOrder(WAITING));
  const works = files.filter((file) => !waits.includes(file)).sort(inOrder(LONG));
  const done = [];
  const hand = async (/** @type {string[][]} */ ...from) => {
    for (const list of from) for (let file = list.shift(); file; file = list.shift()) done.push(await runs(file));
  };
  await Promise.all([...Array.from({ length: AT_ONCE }, () => hand(works, waits)), hand(waits)]);
  return done;
}

const done = await runAll();
const again = done.flatMap(({ file, text }) => failed(text).map((name) => ({ file, name })));
const silent = done.filter(({ ok, text }) => !ok && failed(text).length === 0).map(({ file }) => file);
const late = [];
const lost = [...silent];
if (again.length > FEW) lost.push(...again.map(({ name }) => name));
else
  for (const { file, name } of again) {
    console.log(`\nonce more, alone: ${name}`);
    const second = await runs(file, [`--test-name-pattern=${exactly(name)}`]);
    (second.ok && count(second.text, "pass") === 1 ? late : lost).push(name);
  }
for (const name of late) console.log(`passed only when run again alone, look into it: ${name}`);
for (const name of lost) console.log(`failed: ${name}`);
const sum = (/** @type {string} */ word) => done.reduce((n, { text }) => n + count(text, word), 0);
writeFileSync(join(folder, "e2e.json"), JSON.stringify({ passed: sum("pass") + late.length, failed: lost.length, skipped: sum("skipped") }));
if (lost.length) process.exitCode = 1;
