// Builds the core for the phones: node frontend/buildcore.mjs [FILE], by default build/core.wasm; with --traces after FILE
// one whose functions keep their names and lines.
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { slim } from "./slim/slim.mjs";

const project = dirname(dirname(fileURLToPath(import.meta.url)));

// Without inlining the download is a tenth smaller and the fold takes twice as long. So inlining stays where the time
// goes: the journal and its codecs, and Go's own runtime (in the fold itself it cost 22 KB and gained a sixth). The
// collector is the smaller of Go's two.
const quick = ["wire", "jsontext", "stamp", "entry", "journal"].map((name) => `brinebell/internal/core/${name}`);
const flags = ["all=-l", ...[...quick, "runtime"].map((name) => `${name}=`)].map((how) => `-gcflags=${how}`);

/** buildCore compiles the core and makes it small. @param {string} [file] @param {boolean} [traces] */
export function buildCore(file = join(project, "build", "core.wasm"), traces = false) {
  mkdirSync(dirname(file), { recursive: true });
  const env = { ...process.env, GOOS: "js", GOARCH: "wasm", GOEXPERIMENT: "nogreenteagc", CGO_ENABLED: "0" };
  const args = ["build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", ...flags, "-o", file, "./cmd/corewasm"];
  execFileSync("go", args, { cwd: project, env, stdio: ["ignore", 2, 2] });
  if (traces) return readFileSync(file);
  const wasm = slim(readFileSync(file));
  writeFileSync(file, wasm);
  return wasm;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) buildCore(process.argv[2], process.argv[3] === "--traces");
