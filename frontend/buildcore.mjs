// Builds the core for the phones: node frontend/buildcore.mjs [FILE], by default build/core.wasm, and beside it rest.wasm, the
// part that comes after the first screen, and later.wasm, that of who looks back,
// learns or leads; with --traces after FILE one whole core whose functions keep their names and lines.
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { asleep } from "./slim/asleep.mjs";
import { slimInParts } from "./slim/slim.mjs";
import { takeTexts } from "./slim/texts.mjs";
import { EARLY, LATE } from "./worker/early.js";

const project = dirname(dirname(fileURLToPath(import.meta.url)));

// Without inlining the download is a tenth smaller and the fold takes twice as long. So inlining stays where the time
// goes: the journal and its codecs, and Go's own runtime (in the fold itself it cost 22 KB and gained a sixth). The
// collector is the smaller of Go's two.
const quick = ["wire", "jsontext", "stamp", "entry", "journal"].map((name) => `brinebell/internal/core/${name}`);
const flags = ["all=-l", ...[...quick, "runtime"].map((name) => `${name}=`)].map((how) => `-gcflags=${how}`);

const CORE = "brinebell_internal_core";
const SCREEN = new RegExp(`^${CORE}_screen\\.__page_\\.(\\w+)Screen$`);
const NIGHT = new RegExp(`^${CORE}(\\.__Core_|\\.__night_|_screen\\.__page_)\\.night[A-Z]\\w*$|^${CORE}_screen\\.__Practice_\\.`); // what only practice calls
// What only the plan calls: its packages whole, with what Go writes for their types, and what it has in others.
const PLAN = new RegExp(
  `${CORE}_(planner|planning|forecast|afterwards|demand|sales)\\.|^${CORE}(\\.__Core_\\.plan[A-Z]|\\.__planRun_|_screen\\.__page_\\.plan[A-Z]|_screen\\.__(After[A-Z]\\w*|Plan[A-Z]?\\w*|plan[A-Z]\\w*|lanes?|tabs|ordering)_\\.)|_screen\\.[pP]lan[A-Z]\\w*$`,
);
// What no screen calls by itself, but a tap, or what belongs to the screens of the last part.
const TAPPED = new Set(["kitchen.Decide", "screen.Tested", "words.restText"].map((name) => `${CORE}_${name}`));
const LOOKED = new Set(
  [
    "screen.CookLog",
    "screen.Sales",
    "screen.__Log_.Add",
    "words.laterText",
    "procedure.__node_.planned",
    "kitchen.__deciding_.demand",
    "kitchen.__deciding_.sales",
    "kitchen.__deciding_.acceptPlan",
    "kitchen.__deciding_.shift",
    "kitchen.__State_.Wanted",
    "kitchen.__State_.Shifts",
    "kitchen.__State_.PlanDocument",
    "procedure.OpenPlan",
  ].map((name) => `${CORE}_${name}`),
);
// What Go's runtime does only when it breaks down or is watched: it prints, traces, takes profiles and looks for faults of its own.
const BROKEN = new RegExp(
  `^runtime\\.(${[
    "print|throw|fatal|dopanic|preprintpanics|startpanic|badPointer|badmorestack|crash|dieFromSignal|exit$|gwrite|writeErr",
    "trace(?!AllocFreeEnabled|LockInit|backPCs)[A-Z]|traceback(?!PCs)|__trace|goroutineheader|showframe|hexdump|__hexdumper|dump|__dumper|gcDump|schedtrace|isExportedRuntime",
    "checkFinalizersAndCleanups|checkdead|setCheckmark|(start|end)Checkmarks|__mspan_\\.reportZombies",
    "__profBuf|saveblock|blockevent|__blockRecord|fpunwind|gcallers|__Frames_",
    "startm$|allocm$|newm|handoffp|mexit|fmtNSAsMS",
  ].join("|")})`,
);
// What runs once, while the core is built (slim/asleep.mjs).
const BORN = /^(runtime\.(rt0_go|schedinit|check|mallocinit|doInit1?)|\w+\.(map\.)?init(\.\d+)?)$/;
// What compares two values of a type that stand in interfaces or are keys of a map: Go writes one for every type.
const EQUAL = "type_.eq.";
const ROW = /^\t\{("(?:[^"\\]|\\.)*"), ("(?:[^"\\]|\\.)*"), ("(?:[^"\\]|\\.)*")\},/gm;

/**
 * What comes later, by the names that Go gives functions in WebAssembly. Whoever asks for tables of texts that come with a part
 * (words.restText, words.laterText) lies in that part himself.
 * @type {import("./slim/slim.mjs").Later[]}
 */
const PARTS = [
  { name: "rest", late: isRest, take: texts("crew", "lead", "measure", "night", "probe") },
  { name: "later", late: isLater, take: texts("practice", "practice_rest", "plan", "plan_demand", "plan_after", "plan_says") },
];

// What lies on the way of the first screens, and none of them was seen to call (e2e/unused.mjs).
const UNUSED = readFileSync(join(project, "frontend", "slim", "unused.txt"), "utf8")
  .split("\n")
  .filter(Boolean);
// These sleep on a stack, or clean up at any moment: what the runtime must know of them has to be there from the beginning.
export const ALWAYS = /^(runtime|main|internal_runtime_\w+)\./;

/** @param {string[]} names */
function partsOf(names) {
  const unused = new Set(names.filter((name) => !ALWAYS.test(name)));
  const [rest, later] = PARTS;
  return [
    { ...rest, late: (/** @type {string} */ name, /** @type {boolean} */ called) => unused.has(name) || rest.late(name, called) },
    later,
  ];
}

/** screenOf is the first name of the path of a function that makes a screen. @param {string} name */
function screenOf(name) {
  const screen = SCREEN.exec(name)?.[1];
  return screen === "line" ? "" : screen;
}

/** @param {string} name @param {boolean} called */
function isRest(name, called) {
  const screen = screenOf(name);
  if (screen !== undefined) return !EARLY.includes(screen);
  return TAPPED.has(name) || (!called && name.startsWith(EQUAL));
}

/** @param {string} name */
function isLater(name) {
  const screen = screenOf(name);
  return (
    BORN.test(name) ||
    BROKEN.test(name) ||
    NIGHT.test(name) ||
    PLAN.test(name) ||
    LOOKED.has(name) ||
    (screen !== undefined && LATE.includes(screen))
  );
}

/** texts takes tables of texts out of the first part's memory, named by the ends of their files' names. @param {string[]} names */
function texts(...names) {
  return (/** @type {Buffer} */ memory) => {
    const core = join(project, "internal", "core");
    const tables = names.map((name) => {
      const rows = readFileSync(join(core, "words", `table_${name}.go`), "utf8").matchAll(ROW);
      return [...rows].map((row) => row.slice(1).map((text) => JSON.parse(text)));
    });
    const all = sources(core);
    try {
      return takeTexts(memory, tables, (text) => all.split(JSON.stringify(text)).length === 2);
    } catch (err) {
      console.error(`buildcore: the texts of ${names.join(", ")} come with the first part: ${err}`); // larger, and right all the same
      return [];
    }
  };
}

/** @param {string} folder */
function sources(folder) {
  const paths = readdirSync(folder, { recursive: true, encoding: "utf8" });
  const ours = paths.filter((path) => path.endsWith(".go") && !path.endsWith("_test.go"));
  return ours.map((path) => readFileSync(join(folder, path), "utf8")).join("\n");
}

/**
 * buildCore compiles the core, makes it small and puts it to sleep.
 * @param {string} [file]
 * @param {{traces?: boolean, unused?: string[]}} [how] traces: one whole core; unused: other functions that no start needs than are listed
 */
export async function buildCore(file = join(project, "build", "core.wasm"), { traces = false, unused = UNUSED } = {}) {
  mkdirSync(dirname(file), { recursive: true });
  const whole = join(dirname(file), "whole.wasm"); // a file of its own: Go leaves one alone that it built last, as it is
  const env = { ...process.env, GOOS: "js", GOARCH: "wasm", GOEXPERIMENT: "nogreenteagc", CGO_ENABLED: "0" };
  const args = ["build", "-trimpath", "-buildvcs=false", "-ldflags=-w", ...flags, "-o", whole, "./cmd/corewasm"];
  execFileSync("go", args, { cwd: project, env, stdio: ["ignore", 2, 2] });
  if (traces) return copyFileSync(whole, file);
  const { first, parts } = slimInParts(readFileSync(whole), partsOf(unused));
  const joined = [];
  for (const [i, { name }] of PARTS.entries()) {
    const one = parts[i];
    if (!one)
      throw new Error(`nothing of the core can come with ${name}.wasm: do functions still go by the names that buildcore.mjs knows?`);
    if (!WebAssembly.validate(one)) throw new Error(`${name}.wasm is no WebAssembly`);
    writeFileSync(join(dirname(file), `${name}.wasm`), one);
    joined.push({ name, wasm: one });
  }
  if (!WebAssembly.validate(first)) throw new Error("what became of the core is no WebAssembly");
  await import(join(execFileSync("go", ["env", "GOROOT"], { encoding: "utf8" }).trim(), "lib", "wasm", "wasm_exec.js"));
  writeFileSync(file, await asleep(first, joined));
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  await buildCore(process.argv[2], { traces: process.argv[3] === "--traces" });
  process.exit(0); // the core that was put to sleep would wait for ever
}
