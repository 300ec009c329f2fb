// Counts what the tests said and closes with one line that a person and a runner can read.
//
//   go test -json ./... | node tally.mjs go FILE   shows packages as they end, whole output where something failed
//   node tally.mjs close FOLDER                    adds up FOLDER and prints "N passed, 0 failed"
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { createInterface } from "node:readline";

const [what, where] = process.argv.slice(2);
if (what === "go") await watchGo(where);
else if (what === "close") close(where);
else throw new Error("say go FILE or close FOLDER");

async function watchGo(file) {
  const said = new Map();
  const count = { passed: 0, failed: 0, skipped: 0 };
  for await (const line of createInterface({ input: process.stdin })) {
    const event = parse(line);
    if (!event) continue;
    const key = `${event.Package ?? event.ImportPath} ${event.Test ?? ""}`;
    if (event.Action === "output" || event.Action === "build-output") {
      said.set(key, (said.get(key) ?? "") + event.Output);
    }
    if (event.Action === "fail" || event.Action === "build-fail") process.stdout.write(said.get(key) ?? "");
    if (event.Test) {
      if (event.Action === "pass") count.passed++;
      if (event.Action === "fail") count.failed++;
      if (event.Action === "skip") count.skipped++;
      if (event.Action === "pass") said.delete(key);
    } else if (["pass", "fail", "skip"].includes(event.Action)) {
      if (event.Action === "pass") process.stdout.write(lastLine(said.get(key)));
      if (event.Action === "fail" && !said.get(key)?.includes("FAIL")) count.failed++;
    }
    if (event.Action === "build-fail") count.failed++;
    if (event.Action === "fail" && !event.Test) process.exitCode = 1;
  }
  if (count.failed) process.exitCode = 1;
  writeFileSync(file, JSON.stringify(count));
}

function parse(line) {
  try {
    return JSON.parse(line);
  } catch {
    process.stdout.write(`${line}\n`);
    return null;
  }
}

function lastLine(text = "") {
  const lines = text.trimEnd().split("\n");
  const last = lines.findLast((l) => l.startsWith("ok"));
  return last ? `${last}\n` : "";
}

function close(folder) {
  const sum = { passed: 0, failed: 0, skipped: 0 };
  for (const name of readdirSync(folder)) {
    const text = readFileSync(join(folder, name), "utf8");
    const part = name.endsWith(".json") ? JSON.parse(text) : readTap(text);
    for (const key of Object.keys(sum)) sum[key] += part[key];
  }
  const skipped = sum.skipped ? `, ${sum.skipped} skipped` : "";
  console.log(`# tests ${sum.passed + sum.failed}\n# pass ${sum.passed}\n# fail ${sum.failed}`);
  console.log(`${sum.passed} passed, ${sum.failed} failed${skipped}`);
  if (sum.failed || sum.passed === 0) process.exitCode = 1;
}

function readTap(text) {
  const of = (word) => Number(text.match(new RegExp(`^# ${word} (\\d+)`, "m"))?.[1] ?? 0);
  return { passed: of("pass"), failed: of("fail") + of("cancelled"), skipped: of("skipped") };
}
