// What build.mjs writes into the bundles, and what Go's loader puts on the global object.

declare const CORE_URLS: { first: string; rest: string; later: string };
declare const WORKER_URL: string;
declare const PRACTICE_URL: string;
declare const PLANNER_URL: string;
declare const VERSION: string;
declare const ASSETS: string[];
declare const AFTER: string[];
declare const SUMS: Record<string, string>; // of each of them: the first 6 bytes of its SHA-256
declare const WORDS: Record<string, Record<string, string>>;

declare module "wasm_exec" {}

declare class Go {
  importObject: WebAssembly.Imports;
  env: Record<string, string>;
  run(instance: WebAssembly.Instance): Promise<void>;
  // What it keeps while a program runs (worker/asleep.js):
  _inst: WebAssembly.Instance;
  mem: DataView;
  exited: boolean;
  _values: unknown[];
  _goRefCounts: number[];
  _ids: Map<unknown, number>;
  _idPool: number[];
  _scheduledTimeouts: Map<number, unknown>;
  _exitPromise: Promise<void>;
  _makeFuncWrapper(id: number): unknown;
}

// var, because only var puts a name on globalThis.
declare var brinebell: Readonly<Record<string, unknown>> | import("./worker/core.js").Door | undefined;
