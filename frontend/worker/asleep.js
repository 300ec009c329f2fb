// The core comes asleep (frontend/slim/asleep.mjs): its memory is as Go's program left it once it had come up and waited to be
// called, so no phone runs, nor compiles, what brought it there. What that memory refers to in JavaScript is put back here, as Go's
// own loader would have put it.

/** @typedef {string | number | Record<string, number>} Referred a name on the global object, the number of a function of Go's, or an object by the references of its members */
/** @typedef {import("./door.js").Door} Door */

export const SECTION = "asleep"; // the custom section that lists what the memory refers to

// Go collects when the heap has grown by so many per cent, the first time at 4 MiB times that. A collection takes some
// 20 ms on a cheap phone: this way starting meets none and every fortieth tap one. It costs 12 MiB.
export const ENVIRONMENT = { GOGC: "400" };

/**
 * wake has a fresh instance answer; where it does not come asleep Go's loader runs it.
 * @param {Go} go whose imports the instance got
 * @param {WebAssembly.Module} module
 * @param {WebAssembly.Instance} instance
 * @returns {{door: Door | null, ended: Promise<void>}}
 */
export function wake(go, module, instance) {
  const [list] = WebAssembly.Module.customSections(module, SECTION);
  if (list) return { door: refer(go, instance, JSON.parse(new TextDecoder().decode(list))), ended: go._exitPromise };
  go.env = ENVIRONMENT;
  globalThis.brinebell = undefined;
  const ended = go.run(instance);
  return { door: /** @type {Door | undefined} */ (globalThis.brinebell) ?? null, ended };
}

/**
 * refer fills the loader's table of references, of which the last is the door.
 * @param {Go} go
 * @param {WebAssembly.Instance} instance
 * @param {Referred[]} list
 */
function refer(go, instance, list) {
  go._inst = instance;
  go.mem = new DataView(/** @type {WebAssembly.Memory} */ (instance.exports.mem).buffer);
  go.exited = false;
  /** @type {unknown[]} */
  const values = [Number.NaN, 0, null, true, false, globalThis, go];
  go._values = values;
  go._goRefCounts = values.map(() => Number.POSITIVE_INFINITY);
  go._ids = new Map(values.slice(1).map((value, i) => [value, i + 1]));
  go._idPool = [];
  for (const one of list) {
    const value = referred(go, one);
    go._ids.set(value, values.length);
    go._goRefCounts.push(1);
    values.push(value);
  }
  return /** @type {Door} */ (values[values.length - 1]);
}

/** @param {Go} go @param {Referred} one */
function referred(go, one) {
  if (typeof one === "string") return Reflect.get(globalThis, one);
  if (typeof one === "number") return go._makeFuncWrapper(one);
  return Object.fromEntries(Object.entries(one).map(([name, at]) => [name, go._values[at]]));
}
