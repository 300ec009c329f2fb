// Builds the core for the phones: node frontend/buildcore.mjs [FILE], by default build/core.wasm, and beside it rest.wasm, the
// part that comes after the first screen; with --traces after FILE one whole core whose functions keep their names and lines.
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { slimInTwo } from "./slim/slim.mjs";
import { takeTexts } from "./slim/texts.mjs";
import { EARLY } from "./worker/early.js";

const project = dirname(dirname(fileURLToPath(import.meta.url)));

// Without inlining the download is a tenth smaller and the fold takes twice as long. So inlining stays where the time
// goes: the journal and its codecs, and Go's own runtime (in the fold itself it cost 22 KB and gained a sixth). The
// collector is the smaller of Go's two.
const quick = ["wire", "jsontext", "stamp", "entry", "journal"].map((name) => `brinebell/internal/core/${name}`);
const flags = ["all=-l", ...[...quick, "runtime"].map((name) => `${name}=`)].map((how) => `-gcflags=${how}`);

const SCREEN = /^brinebell_internal_core_screen\.__page_\.(\w+)Screen$/;

const NIGHT = /^brinebell_internal_core(_screen)?\.__\w+_\.night[A-Z]\w*$/; // what only practice calls

const LATE_TEXTS = "brinebell_internal_core_words.lateTables"; // whoever asks for these tables has the rest brought in
const LATE_FILES = ["crew", "measure", "night", "practice", "practice_rest", "training"].map((name) => `table_${name}.go`);
const ROW = /^\t\{("(?:[^"\\]|\\.)*"), ("(?:[^"\\]|\\.)*"), ("(?:[^"\\]|\\.)*")\},/gm;

/** lateTexts takes the texts of lateTables out of the first part's memory. @param {Buffer} memory */
function lateTexts(memory) {
  const core = join(project, "internal", "core");
  const tables = LATE_FILES.map((file) => {
    const rows = readFileSync(join(core, "words", file), "utf8").matchAll(ROW);
    return [...rows].map((row) => row.slice(1).map((text) => JSON.parse(text)));
  });
  const sources = readdirSync(core, { recursive: true, encoding: "utf8" }).filter(
    (path) => path.endsWith(".go") && !path.endsWith("_test.go"),
  );
  const all = sources.map((path) => readFileSync(join(core, path), "utf8")).join("\n");
  try {
    return takeTexts(memory, tables, (text) => all.split(JSON.stringify(text)).length === 2);
  } catch (err) {
    console.error(`buildcore: the late texts come with the first part: ${err}`); // larger, and right all the same
    return [];
  }
}

/** late tells which functions come later, by the names that Go gives them in WebAssembly. @param {string} name */
function late(name) {
  const screen = SCREEN.exec(name)?.[1];
  if (NIGHT.test(name) || name === LATE_TEXTS) return true;
  return screen ? !EARLY.includes(screen === "line" ? "" : screen) : name === "brinebell_internal_core_kitchen.Decide";
}

/** buildCore compiles the core and makes it small. @param {string} [file] @param {boolean} [traces] */
export function buildCore(file = join(project, "build", "core.wasm"), traces = false) {
  mkdirSync(dirname(file), { recursive: true });
  const whole = join(dirname(file), "whole.wasm"); // a file of its own: Go leaves one alone that it built last, as it is
  const env = { ...process.env, GOOS: "js", GOARCH: "wasm", GOEXPERIMENT: "nogreenteagc", CGO_ENABLED: "0" };
  const args = ["build", "-trimpath", "-buildvcs=false", "-ldflags=-w", ...flags, "-o", whole, "./cmd/corewasm"];
  execFileSync("go", args, { cwd: project, env, stdio: ["ignore", 2, 2] });
  if (traces) return copyFileSync(whole, file);
  const { first, rest } = slimInTwo(readFileSync(whole), late, lateTexts);
  if (!rest) throw new Error("nothing of the core can come later: do its screens still go by the names that buildcore.mjs knows?");
  for (const one of [first, rest]) if (!WebAssembly.validate(one)) throw new Error("what became of the core is no WebAssembly");
  writeFileSync(file, first);
  writeFileSync(join(dirname(file), "rest.wasm"), rest);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) buildCore(process.argv[2], process.argv[3] === "--traces");
